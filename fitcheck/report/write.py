"""Writing a report: the whole file or none of it."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from pathlib import Path

from fitcheck.errors import InputError


def write(path: str | os.PathLike[str], text: str) -> Path:
    """Write `text` to the file `path` as UTF-8 and return its path.

    The text goes to a temporary file in the same folder, which then takes the place of `path`: a reader never sees half
    a report, and a report that stood there before stays as it was if anything fails. Raises `InputError` for a path
    that cannot be written, and names it.
    """
    if not os.fspath(path):
        raise InputError("report = '': the path of a file is needed, for example 'report.html'")
    try:
        # A link keeps pointing where it did; the file it points to is the one replaced.
        target = Path(os.path.realpath(path))
        _check(target, os.fspath(path))
        if target.exists() and not target.is_file():  # a device or a pipe, which cannot be replaced
            target.write_text(text, encoding="utf-8", newline="\n")
            return Path(path)
        _replace(target, text)
    except InputError:
        raise
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"report {os.fspath(path)!r} cannot be written: {reason}") from None
    return Path(path)


def _check(target: Path, path: str) -> None:
    """Refuse, before anything is touched, what can be told to fail."""
    folder = target.parent
    if target.is_dir():
        raise InputError(f"report {path!r} is a folder: the path of a file is needed, for example '{path}/report.html'")
    if not folder.exists():
        raise InputError(
            f"report {path!r}: there is no folder {str(folder)!r}: a file in a folder that exists is needed"
        )
    if not folder.is_dir():
        raise InputError(f"report {path!r}: {str(folder)!r} is no folder: a file in a folder that exists is needed")
    if target.is_file() and not os.access(target, os.W_OK):
        raise InputError(f"report {path!r} is write-protected: a file that may be written is needed")
    if not target.exists() and not os.access(folder, os.W_OK | os.X_OK):
        raise InputError(f"report {path!r}: the folder is write-protected: a folder that may be written is needed")


def _replace(target: Path, text: str) -> None:
    temporary = target.with_name(f".{target.name[:100]}.{secrets.token_hex(4)}.part")
    try:
        with open(temporary, "x", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            os.chmod(temporary, target.stat().st_mode & 0o7777)
        os.replace(temporary, target)
    except BaseException:  # an interrupt as well must leave nothing behind
        with suppress(OSError):
            temporary.unlink()
        raise
