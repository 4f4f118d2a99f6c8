"""Writing a report: the whole file or none of it."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from fitcheck.errors import InputError


def write(path: str | os.PathLike[str], text: str, *, what: str = "report") -> Path:
    """Write `text` to the file `path` as UTF-8 and return its path.

    The text goes to a temporary file in the same folder, which then takes the place of `path`: a reader never sees half
    a report, and a report that stood there before stays as it was if anything fails. Raises `InputError` for a path
    that cannot be written, and names it as that of `what`.
    """
    with _named(path, what):
        target = _checked(path, what)
        if target.exists() and not target.is_file():  # a device or a pipe, which cannot be replaced
            target.write_text(text, encoding="utf-8", newline="\n")
        else:
            _replace(target, text)
    return Path(path)


def write_all(files: Mapping[str, tuple[str, str]]) -> None:
    """Write several files: what each is -> its path and its text. No file is touched before every path is checked."""
    refuse_paths({what: path for what, (path, _) in files.items()})
    for what, (path, text) in files.items():
        write(path, text, what=what)


def refuse_paths(paths: Mapping[str, str], kept: Mapping[str, str] | None = None) -> None:
    """Raise `InputError` for a path that cannot be written, for two that lead to one file, and for one of `kept`.

    kept: files that must stay as they are, such as the sheet, by what each is. A link to one is that file too.
    """
    targets: dict[Path, str] = {}
    for what, path in paths.items():
        with _named(path, what):
            target = _checked(path, what)
            for other, kept_path in (kept or {}).items():
                if target.is_file() and os.path.samefile(target, kept_path):
                    raise InputError(f"{what} {path!r} is the file of the {other}: another path is needed")
            if target in targets and (target.is_file() or not target.exists()):
                raise InputError(
                    f"{what} {path!r} is the file of the {targets[target]} as well: another path is needed"
                )
            targets[target] = what


@contextmanager
def _named(path: str | os.PathLike[str], what: str) -> Iterator[None]:
    """Say in one line what cannot be written and why."""
    try:
        yield
    except InputError:
        raise
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"{what} {os.fspath(path)!r} cannot be written: {reason}") from None


def _checked(path: str | os.PathLike[str], what: str) -> Path:
    """The file that `path` leads to; what can be told to fail is refused before anything is touched."""
    named = os.fspath(path)
    if not named:
        raise InputError(f"{what} = '': the path of a file is needed, for example '{what}.html'")
    # A link keeps pointing where it did; the file it points to is the one replaced.
    target = Path(os.path.realpath(path))
    folder, called = target.parent, f"{what} {named!r}"
    if target.is_dir():
        raise InputError(f"{called} is a folder: the path of a file is needed, for example '{named}/{what}.html'")
    if not folder.exists():
        raise InputError(f"{called}: there is no folder {str(folder)!r}: a file in a folder that exists is needed")
    if not folder.is_dir():
        raise InputError(f"{called}: {str(folder)!r} is no folder: a file in a folder that exists is needed")
    if target.is_file() and not os.access(target, os.W_OK):
        raise InputError(f"{called} is write-protected: a file that may be written is needed")
    if not target.exists() and not os.access(folder, os.W_OK | os.X_OK):
        raise InputError(f"{called}: the folder is write-protected: a folder that may be written is needed")
    return target


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
