"""Photographs as large as print can show them."""

from __future__ import annotations

from pathlib import Path

import pytest

from stability.records.photograph_file import read_photograph
from stability.report.print_size import PRINT_EDGE, print_size
from tests.records.pictures import jar, opened, write


@pytest.mark.parametrize("size", [(3000, 4000), (4000, 300)])
def test_a_large_copy_is_printed_small(tmp_path: Path, size: tuple[int, int]) -> None:
    kept = read_photograph(write(tmp_path / "jar.jpg", jar(size)))

    small = opened(print_size(kept.content))

    assert max(small.size) == PRINT_EDGE
    assert (small.format, small.mode) == ("JPEG", "RGB")
    assert small.width / small.height == pytest.approx(size[0] / size[1], rel=0.03)
    assert print_size(kept.content) == print_size(kept.content)


def test_a_small_copy_is_printed_as_it_is(tmp_path: Path) -> None:
    kept = read_photograph(write(tmp_path / "jar.jpg", jar((300, 200))))

    assert print_size(kept.content) == kept.content
