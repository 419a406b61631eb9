"""Photos and papers on disk, each named by the digest of what is in it, so that a changed one shows."""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

from plowwright.errors import NotFoundError, StoreError


class Filing:
    """The folder of files beside the records."""

    def __init__(self, folder: Path | None) -> None:
        self._folder = folder

    @property
    def folder(self) -> Path:
        """Where the files lie.

        Raises:
            StoreError: The records lie on PostgreSQL and no folder was named for files.
        """
        if self._folder is None:
            raise StoreError(
                "there is no folder for photos and papers",
                way_out="Open the workbook with files=FOLDER beside the address.",
            )
        return self._folder

    @property
    def is_there(self) -> bool:
        """Whether a folder was named and exists."""
        return self._folder is not None and self._folder.is_dir()

    def path(self, digest: str) -> Path:
        """Where the file with this digest lies, or would.

        Args:
            digest: SHA-256 in hex.
        """
        return self.folder / digest[:2] / digest

    def keep(self, data: bytes) -> str:
        """Write a file so that it is whole or not there, and on disk before this returns; its digest.

        Args:
            data: What is in it.
        """
        digest = hashlib.sha256(data).hexdigest()
        path = self.path(digest)
        if path.is_file() and path.read_bytes() == data:
            return digest
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".new-")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
        settle(path.parent)
        return digest

    def read(self, digest: str) -> bytes:
        """What is in a file.

        Args:
            digest: As the records name it.

        Raises:
            NotFoundError: It is not in the folder.
            StoreError: What is in it has changed.
        """
        path = self.path(digest)
        if not path.is_file():
            raise NotFoundError("a file is not in its folder", value=digest, way_out="Fetch it from the last backup.")
        data = path.read_bytes()
        if hashlib.sha256(data).hexdigest() != digest:
            raise StoreError("a file is not what it was", value=str(path), way_out="Fetch it from the last backup.")
        return data

    def on_disk(self) -> Iterator[Path]:
        """Every file that lies in the folder."""
        if self.is_there:
            yield from (path for path in sorted(self.folder.glob("??/*")) if not path.name.startswith("."))


def settle(path: Path) -> None:
    """See to it that a file, or the names in a folder, are on disk and not only on their way.

    Args:
        path: The file or folder.
    """
    if os.name != "posix":
        return  # folders cannot be opened there, and the system sees to them by itself
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
