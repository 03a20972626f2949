"""Reports, their fonts and figures."""

from __future__ import annotations

from stability.errors.base import StabilityError


class FontFileMissingError(StabilityError):
    """The font that the user named is not there."""

    def __init__(self, path: object) -> None:
        super().__init__(
            f"There is no font file {path}. Name a TrueType file (.ttf), or leave the "
            "font out."
        )


class FontFileUnreadableError(StabilityError):
    """The font that the user named cannot be read."""

    def __init__(self, path: object, reason: str) -> None:
        super().__init__(
            f"The font file {path} cannot be used: {reason}. Name another TrueType "
            "file (.ttf), or leave the font out."
        )


class FontNotTrueTypeError(StabilityError):
    """The font that the user named has no TrueType outlines."""

    def __init__(self, path: object, reason: str) -> None:
        super().__init__(
            f"The file {path} is not a TrueType font: {reason}. A report can only hold "
            "fonts with TrueType outlines; name another file (.ttf)."
        )


class FontForbidsEmbeddingError(StabilityError):
    """The font that the user named may not be put into a document."""

    def __init__(self, path: object) -> None:
        super().__init__(
            f"The font {path} forbids being put into a document. Name another TrueType "
            "file (.ttf)."
        )


class ReportFolderMissingError(StabilityError):
    """The folder a report is to be written into is not there."""

    def __init__(self, folder: object) -> None:
        super().__init__(
            f"There is no folder {folder} to write into. Make it first, or name "
            "another file with --out."
        )


class ReportFolderReadOnlyError(StabilityError):
    """A report may not be written into its folder."""

    def __init__(self, folder: object) -> None:
        super().__init__(
            f"Nothing may be written in the folder {folder}. Name another file with "
            "--out, or change the rights of the folder."
        )


class ReportPlaceTakenError(StabilityError):
    """A folder stands where a report is to be written."""

    def __init__(self, path: object) -> None:
        super().__init__(
            f"{path} is a folder. Name a file in it, or another one, with --out."
        )


class ReportDiskFullError(StabilityError):
    """The disk has no room for a report."""

    def __init__(self, folder: object) -> None:
        super().__init__(
            f"The disk that holds {folder} is full; nothing was written. Make room, "
            "or name a file on another disk with --out."
        )


class ReportNotWrittenError(StabilityError):
    """A report could not be written for another reason of the system's."""

    def __init__(self, path: object, reason: str) -> None:
        super().__init__(
            f"{path} could not be written: {reason}. Name another file with --out."
        )


class ReportExistsError(StabilityError):
    """A file stands where a report is to be written."""

    def __init__(self, path: object) -> None:
        super().__init__(
            f"{path} exists already. Name another file with --out, or replace it with "
            "--overwrite."
        )


class FigureExistsError(StabilityError):
    """A file stands where a figure is to be drawn."""

    def __init__(self, path: object) -> None:
        super().__init__(
            f"{path} exists already. Name another file with --figure, or replace it "
            "with --overwrite."
        )


class FigureEndingError(StabilityError):
    """The name of a figure's file does not say what kind of file it is."""

    def __init__(self, path: object) -> None:
        super().__init__(
            f"{path} does not end in .pdf, .png or .svg, which says how it is drawn. "
            "Name another file with --figure, such as drift.pdf."
        )


class FigureEmptyError(StabilityError):
    """There is nothing to be drawn."""

    def __init__(self, what: str) -> None:
        super().__init__(
            f"There is nothing of {what} to draw: no number was read, or no line bears "
            "the request. Leave out --figure, or choose other series."
        )


class FigureTooTallError(StabilityError):
    """One image cannot hold so many panels."""

    def __init__(self, panels: int) -> None:
        super().__init__(
            f"One image cannot hold {panels} panels. Choose some with --attribute, "
            "--condition or --batch, or name a .pdf file, which has pages."
        )


class FigureNotWrittenError(StabilityError):
    """The system refuses the file of a figure."""

    def __init__(self, path: object, reason: str) -> None:
        super().__init__(
            f"The figure {path} could not be written: {reason}. Name another file "
            "with --figure."
        )
