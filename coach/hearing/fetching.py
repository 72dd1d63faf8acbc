"""A large file from the network: with progress, going on where it broke off, checked.

What is half there stays only where going on can help; a full disk or a wrong checksum leaves
nothing.
"""

import errno
import hashlib
import http.client
import shutil
import urllib.error
import urllib.request
from collections.abc import Callable
from pathlib import Path

from coach.errors import CoachError

#: Bytes read at a time, and seconds that the server may be silent.
PIECE = 1 << 18
SILENT = 30.0

#: Bytes that stay free beside the file.
SPARE = 50_000_000

Progress = Callable[[int, int | None], None]
"""Bytes so far, and of how many, None where the server doesn't say."""


class FetchError(CoachError):
    """It could not be fetched: why, and what to do."""


def fetch(url: str, to: Path, progress: Progress, sha256: str | None = None) -> str:
    """Fetch a file, or the rest of it where a part is there; its SHA-256 in hex digits.

    FetchError leaves nothing at `to` but a part that a second call goes on with.
    """
    to.parent.mkdir(parents=True, exist_ok=True)
    part, mark = to.with_name(f"{to.name}.part"), to.with_name(f"{to.name}.etag")
    try:
        _complete(url, part, mark, progress)
    except OSError as error:
        if error.errno in (errno.ENOSPC, errno.EDQUOT):
            _remove(part, mark)
            raise _full(to.parent) from error
        raise _broken(url, part, error) from error
    except http.client.HTTPException as error:
        raise _broken(url, part, error) from error
    with part.open("rb") as file:
        found = hashlib.file_digest(file, "sha256").hexdigest()
    if sha256 is not None and found != sha256:
        _remove(part, mark)
        raise FetchError(
            f"{url}: not the file that was expected (sha256 {found[:12]}…, not {sha256[:12]}…)",
            "It was removed. Try again; if it stays so, don't use it.",
        )
    part.replace(to)
    _remove(mark)
    return found


def _complete(url: str, part: Path, mark: Path, progress: Progress) -> None:
    """Append what is missing; an OSError where it breaks off."""
    have = part.stat().st_size if part.exists() else 0
    etag = mark.read_text(encoding="utf-8") if have and mark.exists() else ""
    if not etag:
        # Without a mark nobody can say that the rest belongs to this part.
        have = 0
    request = urllib.request.Request(url)  # noqa: S310 - the table takes http and https only
    if have:
        request.add_header("Range", f"bytes={have}-")
        request.add_header("If-Range", etag)
    try:
        answer = urllib.request.urlopen(request, timeout=SILENT)  # noqa: S310
    except urllib.error.HTTPError as error:
        error.close()
        if error.code == 416 and have:
            # The part is longer than the file: it is no part of it.
            _remove(part, mark)
            _complete(url, part, mark, progress)
            return
        do = "Look at the address in voices/models/vosk.toml."
        raise FetchError(f"{url}: the server says {error.code} {error.reason}", do) from error
    except urllib.error.URLError as error:
        raise _offline(url, error.reason) from error
    with answer:
        if answer.status != 206:
            have = 0
        left = int(answer.headers["Content-Length"]) if answer.headers["Content-Length"] else None
        total = None if left is None else have + left
        if left is not None and shutil.disk_usage(part.parent).free < left + SPARE:
            raise OSError(errno.ENOSPC, "not enough space")
        mark.write_text(answer.headers["ETag"] or answer.headers["Last-Modified"] or "")
        with part.open("ab" if have else "wb") as file:
            progress(have, total)
            while piece := answer.read(PIECE):
                file.write(piece)
                have += len(piece)
                progress(have, total)
        if total is not None and have < total:
            raise ConnectionError("the connection ended early")


def _remove(*paths: Path) -> None:
    for path in paths:
        path.unlink(missing_ok=True)


def _offline(url: str, why: object) -> FetchError:
    return FetchError(
        f"{url} can't be reached: {why}",
        "Are you online? A session needs no network; a model that you have got otherwise is "
        "added by 'coach words model add FOLDER'.",
    )


def _broken(url: str, part: Path, why: Exception) -> FetchError:
    got = part.stat().st_size / 1e6 if part.exists() else 0.0
    do = "The same command again goes on from there."
    return FetchError(f"{url}: broke off after {got:.1f} MB ({why})", do)


def _full(folder: Path) -> FetchError:
    free = shutil.disk_usage(folder).free / 1e6
    return FetchError(
        f"{folder}: the disk is full ({free:.0f} MB free)",
        "Nothing was left behind. Free some space and run it again.",
    )
