"""Studies: known, named, compared, amended."""

from __future__ import annotations

from collections.abc import Sequence

from stability.errors.base import StabilityError


class UnknownStudyError(StabilityError):
    """No study of the workspace has this code."""

    def __init__(self, code: str, nearest: str = "") -> None:
        hint = f" Did you mean {nearest}?" if nearest else " `studies` lists them."
        super().__init__(f"There is no study {code} here.{hint}")


class ComparedWithItselfError(StabilityError):
    """A study that is to be compared with itself."""

    def __init__(self, study: str) -> None:
        super().__init__(
            f"Both studies are {study}. Name another one, or leave the second out to "
            "compare its conditions, batches and packs."
        )


class SecondStudyNeededError(StabilityError):
    """Versions are to be compared, and one study is named."""

    def __init__(self, study: str) -> None:
        super().__init__(
            "Versions are compared study against study. Name the second one after "
            f"{study}, or leave --between out."
        )


class VersionsOnlyError(StabilityError):
    """Two studies are to be compared by what is compared within one."""

    def __init__(self, between: str) -> None:
        super().__init__(
            f"Between two studies versions are compared, and no {between}. Name one "
            "study, or leave --between out."
        )


class BatchOfVersionsError(StabilityError):
    """One batch is picked out where the batch is the unit."""

    def __init__(self, batch: str) -> None:
        super().__init__(
            f"Batch {batch} alone says nothing of versions: they are compared from two "
            "batches of each on. Leave --batch out."
        )


class StudyExistsError(StabilityError):
    """A study with this code is in the workspace already."""

    def __init__(self, code: str) -> None:
        super().__init__(
            f"Study {code} is open already. Give the new study another code in its "
            "file, or leave the code out and one is allotted."
        )


class StudyNeededError(StabilityError):
    """A short sample code does not tell its study."""

    def __init__(self, typed: str) -> None:
        super().__init__(
            f"{typed} does not tell its study. Type the code as it stands on the "
            "label, last character included, such as HDC-014-W, or name the study with "
            "--study."
        )


class AsOfTooEarlyError(StabilityError):
    """A study as of a day before it was opened."""

    def __init__(self, study: str, as_of: str, opened: str) -> None:
        super().__init__(
            f"Study {study} was stored on {opened}; there is nothing of it as of "
            f"{as_of}. Name a later day."
        )


class FormulaChangedError(StabilityError):
    """A study of a known product and version with another formula."""

    def __init__(
        self, product: str, version: str, study: str, changes: Sequence[str]
    ) -> None:
        super().__init__(
            f"{product} {version} has another formula in study {study}: "
            f"{'; '.join(changes)}. What was read of one formula says nothing of "
            f"another: give the new one its own version, with follows = {study!r} and "
            "changed = what was changed."
        )


class NothingAmendedError(StabilityError):
    """An amendment that changes nothing."""

    def __init__(self, study: str) -> None:
        super().__init__(
            f"The files say what study {study} holds already: nothing is amended. "
            "Change the copy of study.toml or protocol.toml that you name."
        )


class AmendmentError(StabilityError):
    """An amendment of what may not change while a study runs."""

    def __init__(self, study: str, changes: Sequence[str]) -> None:
        super().__init__(
            f"Not amendable in study {study}: {'; '.join(changes)}. What was read "
            "would no longer compare. Leave it as it was, or stop the study and start "
            "a new one that follows it."
        )


class AmendmentChangesPastError(StabilityError):
    """An amendment by which earlier readings would be judged otherwise."""

    def __init__(self, study: str, readings: Sequence[str]) -> None:
        count = len(readings)
        earlier = "1 earlier reading" if count == 1 else f"{count} earlier readings"
        super().__init__(
            f"By the new limits of study {study}, {earlier} would be judged "
            f"otherwise: {'; '.join(readings)}. They keep the limits of their day, the "
            "report shows both, and the shorter shelf life governs. Nothing was "
            "written; say --yes to amend."
        )
