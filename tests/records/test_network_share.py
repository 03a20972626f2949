"""A workspace on a network share is noticed from what is mounted."""

from __future__ import annotations

from pathlib import Path

import pytest

from stability.records import network_share as module
from stability.records.network_share import mounted, network_share

MOUNTS = r"""/dev/sda1 / ext4 rw,relatime 0 0
nas:/lab /lab nfs4 rw,vers=4.2 0 0
/dev/sdb1 /lab/local ext4 rw 0 0
//server/share /mnt/two\040words cifs rw 0 0
nas:/old /home nfs rw 0 0
/dev/sdc1 /home ext4 rw 0 0
broken
"""


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/lab/stability.db", "nfs4"),
        ("/lab/a/b/stability.db", "nfs4"),
        ("/lab/local/stability.db", None),
        ("/laboratory/stability.db", None),
        ("/mnt/two words/stability.db", "cifs"),
        ("/home/ana/stability.db", None),
        ("/stability.db", None),
    ],
)
def test_the_nearest_mount_decides(path: str, kind: str | None) -> None:
    assert network_share(Path(path), MOUNTS) == kind


def test_where_nothing_is_told_nothing_is_warned_of() -> None:
    assert network_share(Path("/lab/stability.db"), "") is None


def test_a_windows_share_is_known_by_its_name() -> None:
    assert network_share(Path(r"\\server\lab\stability.db"), "") == "a Windows share"


def test_what_is_mounted_is_read_where_it_is_told(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "mounts").write_text(MOUNTS)
    monkeypatch.setattr(module, "_MOUNTED", tmp_path / "mounts")
    assert mounted() == MOUNTS

    monkeypatch.setattr(module, "_MOUNTED", tmp_path / "nowhere")
    assert mounted() == ""
