"""A photo from the floor made ready for the records: turned upright, everything but the picture taken out."""

from __future__ import annotations

import hashlib
import io
import warnings
from dataclasses import dataclass
from typing import Final

from plowwright.errors import EntryError

MOST: Final = 20_000_000
"""Largest file taken [bytes]."""
PIXELS: Final = 60_000_000
"""Most picture points taken; a small file may unfold into far more [-]."""
LONG_SIDE: Final = 2400
"""A weld crack of a millimetre is still seen on a picture this wide; longer ones are made smaller [-]."""
_TAKEN: Final = ("JPEG", "PNG")


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo:
    """A photo as it is kept.

    Attributes:
        data: What is in the file.
        name: What it was called.
        media: As "image/jpeg".
        width: Picture points across [-].
        height: Picture points up [-].
        sent: Digest (SHA-256) of the file as it came, by which the same photo sent twice is known.
    """

    data: bytes
    name: str
    media: str
    width: int
    height: int
    sent: str

    def as_asked(self) -> dict[str, str]:
        """What a command keeps of it with what was asked."""
        return {"name": self.name, "sent": self.sent}


def upright(data: bytes, name: str = "photo") -> Photo:
    """A photo turned as the camera was held, without place, camera or owner in it, not larger than needed.

    Args:
        data: The file as it came.
        name: What it was called.

    Raises:
        EntryError: Too large, not a JPEG or PNG, or broken.
    """
    from PIL import Image, ImageOps

    if len(data) > MOST:
        raise EntryError("the photo is too large", value=f"{len(data) / 1e6:.1f} MB", limit=f"{MOST / 1e6:.0f} MB",
                         where=name, way_out="Take it again with a smaller setting of the camera.")  # fmt: skip
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            opened = Image.open(io.BytesIO(data), formats=_TAKEN)
        points = opened.width * opened.height
        if points > PIXELS:
            raise EntryError(
                "the photo has too many points", value=f"{points / 1e6:.0f} million", where=name,
                limit=f"{PIXELS / 1e6:.0f} million", way_out="Take it again with a smaller setting of the camera.",
            )  # fmt: skip
        kind = str(opened.format)
        turned = ImageOps.exif_transpose(opened)
        turned.thumbnail((LONG_SIDE, LONG_SIDE))
        # A new picture carries the points over and nothing else.
        plain = Image.new("RGB", turned.size, "white")
        plain.paste(turned.convert("RGBA"), mask=turned.convert("RGBA").getchannel("A"))
    except EntryError:
        raise
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as fault:
        raise EntryError(
            "this is no photo that can be read", value=f"{len(data)} bytes", limit="JPEG or PNG, whole", where=name,
            way_out="Take the photo with the tablet's camera, or send a JPEG.",
        ) from fault  # fmt: skip
    kept = io.BytesIO()
    if kind == "PNG":
        plain.save(kept, "PNG", optimize=True)
    else:
        plain.save(kept, "JPEG", quality=88)
    return Photo(
        data=kept.getvalue(), name=name.replace("\\", "/").rsplit("/", 1)[-1] or "photo",
        media=f"image/{kind.lower()}", width=plain.width, height=plain.height, sent=hashlib.sha256(data).hexdigest(),
    )  # fmt: skip
