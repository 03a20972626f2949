"""Photographs."""

from __future__ import annotations

from stability.errors.base import StabilityError


class PhotographFileError(StabilityError):
    """A file cannot be kept as a photograph."""

    def __init__(self, path: object, reason: str) -> None:
        super().__init__(
            f"The photograph {path} was not taken: {reason}. Nothing was stored. Give "
            "a JPEG, PNG or WebP file of at most 50 MB and 80 million pixels."
        )


class PhotographKnownError(StabilityError):
    """The same photograph is kept already of the same sample."""

    def __init__(self, path: object, sample: str, reference: str) -> None:
        super().__init__(
            f"The photograph {path} of {sample} is kept already as {reference}. "
            "Nothing was stored. Look whether another file is meant, or leave it out."
        )


class PhotographAloneError(StabilityError):
    """A photograph or its caption is given without what it belongs to."""

    def __init__(self, reason: str) -> None:
        super().__init__(
            f"{reason}. Name one sample and its photographs, as in 'stability log 014W "
            '--photo jar.jpg --caption "droplets at the rim"\'.'
        )


class NotCleanedError(StabilityError):
    """A folder made by hand holds a photograph that was never cleaned."""

    def __init__(self, file: str) -> None:
        super().__init__(
            f"{file} is no cleaned copy: it may hold where it was taken. Log it with "
            "'stability log SAMPLE --photo', or take the copy that 'stability "
            "photographs STUDY --out FOLDER' writes."
        )


class PhotographFolderError(StabilityError):
    """Photographs are to be written where something stands, or none are chosen."""

    def __init__(self, folder: object, reason: str) -> None:
        super().__init__(
            f"No photograph was written to {folder}: {reason}. Name a new folder with "
            "--out, or leave it out to list them."
        )
