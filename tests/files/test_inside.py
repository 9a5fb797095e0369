"""A costume names files of its own folder only."""

import pytest

from layfigure.errors import FileError
from layfigure.files.inside import refuse_outside


@pytest.mark.parametrize("name", ["references/front.png", "a.png", "", "deep/er/a b.png", "..front.png"])
def test_a_file_of_the_folder_passes(name: str) -> None:
    refuse_outside(name, where="f")


@pytest.mark.parametrize(
    "name", ["/etc/hosts", "../a.png", "a/../../b", "C:\\a.png", "\\\\host\\a", "a\\..\\..\\b", "C:a"]
)
def test_a_file_elsewhere_is_refused(name: str) -> None:
    with pytest.raises(FileError, match=r"^f: a file of the costume lies outside its folder\."):
        refuse_outside(name, where="f")
