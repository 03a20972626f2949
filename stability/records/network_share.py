"""Whether a file lies on a network share, where SQLite's locks cannot be relied on."""

from __future__ import annotations

import re
from pathlib import Path, PurePosixPath
from typing import Final

#: File systems of Linux that another computer serves.
_SHARED: Final = (
    "nfs", "nfs4", "cifs", "smb3", "smbfs", "afs", "ceph", "glusterfs", "lustre", "9p",
    "davfs", "fuse.sshfs", "fuse.davfs", "fuse.glusterfs", "fuse.rclone",
)  # fmt: skip
_MOUNTED: Final = Path("/proc/mounts")
_ESCAPED = re.compile(r"\\([0-7]{3})")


def network_share(path: Path, mounts: str) -> str | None:
    """Return the kind of network share that a file lies on; None where on none.

    Parameters
    ----------
    path
        Absolute path of the workspace.
    mounts
        What is mounted, as Linux tells it in /proc/mounts; empty elsewhere.

    Examples
    --------
    >>> network_share(Path("/lab/stability.db"), "nas:/lab /lab nfs4 rw 0 0")
    'nfs4'
    """
    if str(path).startswith(("\\\\", "//")):
        return "a Windows share"
    nearest, kind = -1, ""
    for line in mounts.splitlines():
        fields = line.split()
        if len(fields) < 3:
            continue
        place = PurePosixPath(_ESCAPED.sub(_character, fields[1]))
        # Of two mounts at one place, the later covers the earlier.
        if path.is_relative_to(place) and len(place.parts) >= nearest:
            nearest, kind = len(place.parts), fields[2]
    return kind if kind in _SHARED else None


def mounted() -> str:
    """Return what is mounted, as Linux tells it; empty where nothing tells it."""
    try:
        return _MOUNTED.read_text("utf-8", "replace")
    except OSError:
        return ""


def _character(match: re.Match[str]) -> str:
    return chr(int(match[1], 8))
