"""A report with all that it rests on, as one ZIP file with a list of digests.

The same files and moment give the same bytes: files stand in the order of their paths,
all with one time, and the list, which names every other file, stands last.
"""

from __future__ import annotations

import hashlib
import io
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Final

from stability.model.entry import Entry, Head
from stability.records.archive import archived
from stability.records.attachment import Attachment

#: The list of digests; lines that begin with # are no part of it.
MANIFEST: Final = "manifest.txt"
#: Before the anchors in the list.
ANCHORS: Final = "# anchors:"
#: Folder of the archive inside the pack.
RECORD: Final = "record"
#: Folder of certificates under the names with which they came.
CERTIFICATES: Final = "certificates"
_HOW: Final = """\
To check without any program of ours that every file is as it was packed, unpack it
and run in its folder:

    sha256sum -c manifest.txt

(on macOS: shasum -a 256 -c manifest.txt). It says OK for each file. This shows that no
file was changed since. Where the record stood is told by the anchors below: hold them
against an earlier print, or give this pack to 'stability verify --against'.

record/README.md says what the files of the record hold.
It supports, and does not replace, assessment by a qualified safety assessor.
"""
_LISTED = re.compile(rf"^{ANCHORS} (.*)$", re.MULTILINE)
_UNSAFE = re.compile(r"[^\w.\-]+")
_LONGEST_NAME = 80
_FILE_MODE = 0o600 << 16
_UNIX = 3


def packed_record(
    entries: Iterable[Entry],
    files: Iterable[Attachment],
    views: Mapping[str, str | bytes],
) -> dict[str, bytes]:
    """Return path -> bytes of an archive as it stands in a pack.

    Parameters
    ----------
    entries
        Whole subjects, each from position 1.
    files
        Attachments that the entries name.
    views
        Path inside the archive -> its text or bytes.

    Raises
    ------
    UnsafePathError
        If the path of a view leads out of the archive or onto the journal.
    """
    parts = archived(entries, files, views)
    return {f"{RECORD}/{path}": b"".join(content) for path, content in parts}


def certificate_path(name: str, sha256: str) -> str:
    """Return where a certificate's file stands in a pack.

    Parameters
    ----------
    name
        As it came; what is no letter, digit, point or hyphen is replaced.
    sha256
        Of its bytes; its beginning keeps files of one name apart.

    Examples
    --------
    >>> certificate_path("../Lab report 7.pdf", "ab12cd34ef" * 6)
    'certificates/ab12cd34_Lab_report_7.pdf'
    """
    plain = _UNSAFE.sub("_", name).strip("._")[-_LONGEST_NAME:]
    return f"{CERTIFICATES}/{sha256[:8]}_{plain or 'file'}"


def pack_bytes(
    files: Mapping[str, bytes],
    title: str,
    anchors: Sequence[Head],
    moment: datetime,
) -> bytes:
    """Return the bytes of a pack.

    Parameters
    ----------
    files
        Path -> bytes of everything but the list.
    title
        What it is, for the first line of the list.
    anchors
        Where the record stood, and the records of what it names.
    moment
        Time of every file in it.
    """
    whole = {
        **dict(sorted(files.items())),
        MANIFEST: _manifest(files, title, anchors).encode(),
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for path, content in whole.items():
            about = zipfile.ZipInfo(path, moment.timetuple()[:6])
            about.create_system = _UNIX
            about.external_attr = _FILE_MODE
            packed.writestr(about, content, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def anchors_listed(path: Path) -> str:
    """Return the anchors that a pack's list names; "" where it is no pack.

    Parameters
    ----------
    path
        A ZIP file.
    """
    with zipfile.ZipFile(path) as packed:
        if MANIFEST not in packed.namelist():
            return ""
        text = packed.read(MANIFEST).decode("utf-8", "replace")
    found = _LISTED.search(text)
    return found[1] if found else ""


def _manifest(files: Mapping[str, bytes], title: str, anchors: Sequence[Head]) -> str:
    told = [title, "", *_HOW.splitlines(), ""]
    lines = [f"# {one}".rstrip() for one in told]
    lines.append(f"{ANCHORS} {' '.join(map(str, anchors))}")
    lines += [
        f"{hashlib.sha256(files[path]).hexdigest()}  {path}" for path in sorted(files)
    ]
    return "\n".join(lines) + "\n"
