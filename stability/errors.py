"""What a user can put right: one base class, one class per fault.

The wording of each message lives in its class: what is wrong, where, and how to
mend it. Nothing of ours is imported here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class StabilityError(Exception):
    """Base of everything a user can put right; printed as one line, exit code 2."""


# --- reports: fonts and files ---


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


# Numbers, text and codes


class NumberFormError(StabilityError):
    """A number is not written as `5.47`, `<10` or `-3`."""

    def __init__(self, text: str, reason: str, where: str = "") -> None:
        place = f"{where}: " if where else ""
        super().__init__(f"{place}{text!r} is not read as a number: {reason}.")


class TextFormError(StabilityError):
    """A text holds a character that cannot be kept or printed, or is empty."""

    def __init__(self, what: str, reason: str) -> None:
        super().__init__(f"{what} {reason}.")


class StudyCodeError(StabilityError):
    """A study code is not one that fits on a lid without being misread."""

    def __init__(self, text: str, reason: str) -> None:
        super().__init__(
            f"{text!r} is no study code: {reason}. A study code has 2 to 5 of "
            "23456789CDFGHJKMNPQRTVWXY and ends in a letter, such as HDC."
        )


class SampleCodeFormError(StabilityError):
    """A sample code has not the form of one."""

    def __init__(self, text: str) -> None:
        super().__init__(
            f"{text!r} is no sample code. A code has the study, three or four digits "
            "and a check character, such as HDC-014-W; within one study 014W suffices."
        )


class SampleCodeCheckError(StabilityError):
    """The check character of a sample code does not fit: it is mistyped."""

    def __init__(self, text: str) -> None:
        super().__init__(
            f"The check character of {text!r} does not fit: a character is mistyped or "
            "two are swapped. Read the label again and type it as it stands there."
        )


class TooManySamplesError(StabilityError):
    """A study has run out of sample numbers."""

    def __init__(self, study: str, count: int) -> None:
        super().__init__(
            f"Study {study} has no numbers left for {count} samples: numbers end at "
            "9999. Divide it into two studies."
        )


# Entries of the journal


class AnchorFormError(StabilityError):
    """An anchor to verify against has not the form of one."""

    def __init__(self, text: str) -> None:
        super().__init__(
            f"{text!r} is no anchor. Give SUBJECT/POSITION:DIGEST as printed (such as "
            "study:HDC/123: and 16 digits or more), NUMBER:SEAL of a backup, or a "
            "report, archive or backup file."
        )


class LineFormError(StabilityError):
    """A line of a journal is no entry."""

    def __init__(self, reason: str) -> None:
        self.reason = reason
        super().__init__(
            f"A line of the journal is no entry: {reason}. Run 'stability verify'."
        )


# The command line


class NothingToLogError(StabilityError):
    """`log` was given no reading."""

    def __init__(self, sample: str | None) -> None:
        super().__init__(
            f"Nothing to log for {sample or 'no sample'}. Give a sample and its "
            "readings, as in 'stability log 014W pH=5.47/5.49', or a file with --from."
        )


class ReadingsAndFileError(StabilityError):
    """`log` was given a sample as well as a file."""

    def __init__(self, file: object, sample: str) -> None:
        super().__init__(
            f"Both a file ({file}) and a sample ({sample}) are given. The file names "
            "its own samples: log the file alone, then the sample."
        )


class FileSaysItselfError(StabilityError):
    """`log --from` was given what the rows of its file say."""

    def __init__(self, file: object, options: Sequence[str]) -> None:
        super().__init__(
            f"The rows of {file} say themselves what {', '.join(options)} would say. "
            "Write it into the file and leave the options out."
        )


class FileOptionError(StabilityError):
    """Options that mean a file, without one."""

    def __init__(self, options: Sequence[str]) -> None:
        super().__init__(
            f"Without a file {', '.join(options)} means nothing. Name one with --from, "
            "or leave it out."
        )


# Protocol and study files


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a protocol or study file."""

    #: File, as the user named it.
    file: str
    #: Line, counted from 1.
    line: int
    #: What is wrong.
    text: str
    #: How to mend it; "" where the text says it all.
    hint: str = ""

    def __str__(self) -> str:
        hint = f"; {self.hint}" if self.hint else ""
        return f"{self.file}:{self.line}: {self.text}{hint}"


class FaultyFileError(StabilityError):
    """A protocol or study file has faults of content; all are told at once."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(map(str, faults)))


class TomlSyntaxError(StabilityError):
    """A protocol or study file is not written as TOML."""

    def __init__(self, file: str, line: int, reason: str) -> None:
        super().__init__(
            f"{file}:{line}: this is not TOML: {reason}. Mend this line first; the "
            "lines after it have not been read."
        )


class NewerFormatError(StabilityError):
    """A file was made by a newer version of this program."""

    def __init__(self, file: str, line: int, found: int, known: int) -> None:
        super().__init__(
            f"{file}:{line}: made by a newer version: format {found}, and this version "
            f"reads formats up to {known}. Install the newer version to read it."
        )


class UnknownProtocolError(StabilityError):
    """There is no ready-made protocol and no file of this name."""

    def __init__(self, name: str, nearest: Sequence[str], known: Sequence[str]) -> None:
        guess = f"Did you mean {' or '.join(nearest)}? " if nearest else ""
        super().__init__(
            f"There is no protocol {name!r}. {guess}Give a file that ends in .toml or "
            f"one of the ready-made protocols: {', '.join(known)}."
        )


class UnreadableFileError(StabilityError):
    """A protocol or study file cannot be read."""

    def __init__(self, file: object, reason: str) -> None:
        super().__init__(f"{file} cannot be read: {reason}. Name a text file in UTF-8.")


class PlanOptionsError(StabilityError):
    """What was typed with `plan` cannot be planned; all of it is told at once."""

    def __init__(self, reasons: Sequence[str]) -> None:
        self.reasons = tuple(reasons)
        told = "\n  ".join(reasons)
        super().__init__(f"The plan cannot be made; mend this first:\n  {told}.")


class PlanOptionsForFileError(StabilityError):
    """Options that a study file states itself."""

    def __init__(self, file: object, options: Sequence[str]) -> None:
        super().__init__(
            f"{file} is a study file and says what {', '.join(options)} would say. "
            "Change it there, or plan from a protocol instead."
        )


class StudyFileTakenError(StabilityError):
    """A study file may not replace one that is there."""

    def __init__(self, file: object) -> None:
        super().__init__(
            f"There is already a file {file}. Name another with --write, or add "
            "--overwrite to replace it."
        )


class StudyFileNotWrittenError(StabilityError):
    """The system refuses to write a study file."""

    def __init__(self, file: object, reason: str) -> None:
        super().__init__(
            f"{file} cannot be written: {reason}. Name another file with --write, or "
            "look at the rights and the space of its folder."
        )


# --- studies, samples and what is done with them ---


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
            f"{typed} does not tell its study. Type the whole code, such as HDC-014-W, "
            "or name the study with --study."
        )


class UnknownSampleError(StabilityError):
    """The study has no such sample."""

    def __init__(self, code: str, study: str, nearest: str = "") -> None:
        hint = f" The nearest are {nearest}." if nearest else ""
        super().__init__(f"Study {study} has no sample {code}.{hint}")


class UnknownNameError(StabilityError):
    """A name that the protocol or the study does not know."""

    def __init__(self, what: str, typed: str, hint: str) -> None:
        super().__init__(f"There is no {what} {typed!r}; {hint}.")


class MomentError(StabilityError):
    """A date or time that does not exist or is written in another form."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed!r} is no date or time: {reason}. Write 2026-03-02 or "
            "2026-03-02T09:15."
        )


class FutureMomentError(StabilityError):
    """A time that has not come yet."""

    def __init__(self, typed: str, now: str) -> None:
        super().__init__(
            f"{typed} lies in the future (now it is {now}). State when it was done."
        )


class TooEarlyError(StabilityError):
    """Something done before it was possible."""

    def __init__(self, sample: str, done: str, reason: str) -> None:
        super().__init__(f"{sample}: {done} is too early, {reason}. Check the date.")


class SampleGoneError(StabilityError):
    """A sample that has left the study, or whose part of it was stopped."""

    def __init__(self, sample: str, reason: str) -> None:
        super().__init__(
            f"{sample} {reason}. What was done before that day needs its own --on."
        )


class ReasonNeededError(StabilityError):
    """Something that must not stand without its reason."""

    def __init__(self, what: str) -> None:
        super().__init__(f"{what} needs a reason: add --because.")


class PlacingError(StabilityError):
    """A placing that does not fit where the sample is."""

    def __init__(self, sample: str, reason: str) -> None:
        super().__init__(f"{sample} cannot be placed so: {reason}.")


class ReplacementError(StabilityError):
    """A sample that cannot take the part of another."""

    def __init__(self, sample: str, replaced: str, reason: str) -> None:
        super().__init__(f"{sample} cannot replace {replaced}: {reason}.")


class MissedError(StabilityError):
    """A check that cannot be recorded as missed."""

    def __init__(self, check: str, reason: str) -> None:
        super().__init__(f"{check} cannot be recorded as missed: {reason}.")


class StoppedError(StabilityError):
    """A stop of what has been stopped already."""

    def __init__(self, what: str, day: str) -> None:
        super().__init__(f"{what} was stopped on {day} already; leave it so.")


class AlreadyObservedError(StabilityError):
    """A second observation of the same sample, check and attribute."""

    def __init__(self, what: str, reference: str) -> None:
        super().__init__(
            f"{what} is recorded as {reference}. If it was mistyped: correct "
            f"{reference}; if it was read again: log it with --repeat and the reason."
        )


class NothingToRepeatError(StabilityError):
    """A repeat without a first observation."""

    def __init__(self, what: str) -> None:
        super().__init__(
            f"{what} has no observation to repeat; log it without --repeat."
        )


class EntryReferenceError(StabilityError):
    """A reference that leads to no observation that stands."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(f"{typed}: {reason}. `history` lists the entries.")


class ReadingsError(StabilityError):
    """Readings that cannot be taken as typed; all of a line at once."""

    def __init__(self, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(self.faults))


class FarReadingError(StabilityError):
    """A reading far from the sample's last one, not confirmed."""

    def __init__(self, questions: Sequence[str]) -> None:
        self.questions = tuple(questions)
        super().__init__(
            "; ".join(self.questions)
            + ". If it is right, say so with --yes; else type it again."
        )


class NotConfirmedError(StabilityError):
    """The person did not confirm."""

    def __init__(self) -> None:
        super().__init__("Not confirmed; nothing was written. Read again and log it.")


class RowsError(StabilityError):
    """Rows of a file that cannot be taken; all of them at once."""

    def __init__(self, file: str, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        rows = "1 fault" if len(self.faults) == 1 else f"{len(self.faults)} faults"
        super().__init__(
            f"{file}: {rows}, nothing was written.\n" + "\n".join(self.faults)
        )


class DayOrderError(StabilityError):
    """Days of a table whose order of day, month and year cannot be told."""

    def __init__(self, typed: str, reason: str) -> None:
        self.typed = typed
        super().__init__(
            f"The day {typed} cannot be read: {reason}. Say the order with --dates "
            "dmy, mdy or ymd, or write days as 2026-04-03."
        )


class ReceivedFileError(StabilityError):
    """A table or workbook that cannot be taken in as it is."""

    def __init__(self, file: object, reason: str) -> None:
        super().__init__(f"{file} cannot be taken in: {reason}. Nothing was written.")


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


class TimeZoneError(StabilityError):
    """A time zone that is not known."""

    def __init__(self, name: str) -> None:
        super().__init__(
            f"There is no time zone {name!r}. Write time_zone as the IANA names it, "
            'such as "Europe/Dublin".'
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


class StudyFolderError(StabilityError):
    """A study folder that lacks something or holds what does not fit."""

    def __init__(self, folder: str, reason: str) -> None:
        super().__init__(f"{folder}: {reason}.")


class ViewDiffersError(StabilityError):
    """A file of an archive that says something else than its journal."""

    def __init__(self, folder: str, files: str) -> None:
        super().__init__(
            f"{folder}: {files} says something else than journal.jsonl, which is what "
            "counts. Ask the sender which is right, or export the study again."
        )


# --- the workspace's database ---


class DatabaseError(StabilityError):
    """Base of what can be wrong with the database of a workspace."""


class AddressError(DatabaseError):
    """An address of records is neither a file nor a PostgreSQL server."""

    def __init__(self, shown: str, reason: str) -> None:
        super().__init__(
            f"{shown} is no address of records: {reason}. Give a file such as "
            "stability.db, or postgresql://USER@HOST/DATABASE."
        )


class MissingDatabaseError(DatabaseError):
    """There is no workspace at the address."""

    def __init__(self, shown: str) -> None:
        super().__init__(
            f"There are no records at {shown}. 'stability start STUDY_FILE' begins "
            "them; --records or STABILITY_RECORDS names records kept elsewhere."
        )


class NotOurDatabaseError(DatabaseError):
    """Something stands at the address, but no records of ours."""

    def __init__(self, shown: str, found: str) -> None:
        super().__init__(
            f"{shown} is {found}, not a stability workspace; it was left as it is. "
            "Name another place with --records or STABILITY_RECORDS."
        )


class NewerDatabaseError(DatabaseError):
    """A workspace was made by a newer version."""

    def __init__(self, shown: str, found: int, known: int) -> None:
        super().__init__(
            f"{shown} was made by a newer version: format {found}, and this version "
            f"reads formats up to {known}. Install the newer version to open it."
        )


class ReadOnlyDatabaseError(DatabaseError):
    """Records cannot be written where they are."""

    def __init__(self, shown: str) -> None:
        super().__init__(
            f"{shown} cannot be written: the file, its folder or the account allows "
            "reading only. Nothing was changed. Allow writing there, or name another "
            "place with --records."
        )


class UnreadableDatabaseError(DatabaseError):
    """Records are there but may not be read."""

    def __init__(self, shown: str) -> None:
        super().__init__(
            f"{shown} cannot be opened: this account may not read it, or not write "
            "beside it after a crash. Ask for the right to it, or copy file and "
            "-journal file together to a folder of your own."
        )


class FullDiskError(DatabaseError):
    """The disk took no more."""

    def __init__(self, shown: str) -> None:
        super().__init__(
            f"The disk of {shown} is full or failing. Nothing of this command was "
            "written, and what was recorded before is whole. Make room, then repeat it."
        )


class BusyDatabaseError(DatabaseError):
    """Others held the records for too long."""

    def __init__(self, shown: str, seconds: float) -> None:
        super().__init__(
            f"{shown} was in use for {seconds:g} s by another command or program. "
            "Nothing was written. Close what holds it open, then repeat the command."
        )


class DamagedDatabaseError(DatabaseError):
    """The database says of itself that it is damaged."""

    def __init__(self, shown: str, reason: str) -> None:
        super().__init__(
            f"{shown} is damaged ({reason}). Do not write to it: copy it as it is, and "
            "go on from the last backup."
        )


class MissingDriverError(DatabaseError):
    """PostgreSQL is asked for, but its driver is not installed."""

    def __init__(self) -> None:
        super().__init__(
            "Records on PostgreSQL need its driver, which is not installed: "
            "pip install 'stability-study[postgres]'."
        )


class ServerError(DatabaseError):
    """The PostgreSQL server does not let us in, or is not there."""

    def __init__(self, shown: str, reason: str) -> None:
        super().__init__(
            f"{shown} cannot be used: {reason}. Check address, account and that the "
            "server runs. If the connection was lost while writing, look with "
            "'stability history' whether the last entry is there before repeating it."
        )


class BrokenChainError(DatabaseError):
    """An entry does not follow from the one before it: the record was altered."""

    def __init__(self, subject: str, position: int) -> None:
        super().__init__(
            f"The record of {subject} does not hold from entry {position} on: it was "
            "changed outside this program. 'stability verify' tells how; go on from "
            "the last backup."
        )


class MissingAttachmentError(DatabaseError):
    """An attachment that the record names is not kept."""

    def __init__(self, sha256: str) -> None:
        super().__init__(
            f"The file with SHA-256 {sha256} is not kept here. 'stability verify' "
            "tells what else is missing; go on from the last backup."
        )


class ChangedAttachmentError(DatabaseError):
    """An attachment's bytes are not those that were received."""

    def __init__(self, name: str, sha256: str) -> None:
        super().__init__(
            f"The attachment {name} is not as it was received: its bytes do not give "
            f"SHA-256 {sha256}. Go on from the last backup."
        )


# --- archives and anchors ---


class ArchiveExistsError(StabilityError):
    """An archive is to be written where something stands already."""

    def __init__(self, folder: object) -> None:
        super().__init__(
            f"{folder} exists already; an archive never writes over anything. Name a "
            "new folder."
        )


class NoArchiveError(StabilityError):
    """A folder or file is no archive of ours."""

    def __init__(self, folder: object, reason: str) -> None:
        super().__init__(
            f"{folder} is no archive: {reason}. Name a folder that 'stability export' "
            "wrote, with its journal.jsonl."
        )


class JournalFileError(StabilityError):
    """A line of an archive's journal cannot be read."""

    def __init__(self, file: object, line: int, reason: str) -> None:
        super().__init__(
            f"{file}:{line}: {reason}. Nothing was taken in; ask for the archive again."
        )


class ArchiveChainError(StabilityError):
    """An archive's journal does not hold: it was altered on the way."""

    def __init__(self, file: object, line: int, subject: str, position: int) -> None:
        super().__init__(
            f"{file}:{line}: entry {position} of {subject} does not follow from the "
            "entries before it: the archive was changed. Nothing was taken in; ask for "
            "the archive again."
        )


class ArchiveAttachmentError(StabilityError):
    """An attachment of an archive is missing or not as it was."""

    def __init__(self, file: object, reason: str) -> None:
        super().__init__(
            f"{file} {reason}. Nothing was taken in; ask for the archive again."
        )


class DivergingRecordError(StabilityError):
    """An archive and the workspace tell the same subject differently."""

    def __init__(self, subject: str, position: int) -> None:
        super().__init__(
            f"The archive and these records differ from entry {position} of {subject} "
            "on, so one cannot continue the other. Nothing was taken in. Open the "
            "archive in a workspace of its own with --records to compare them."
        )


class NewerKindError(StabilityError):
    """An archive holds a kind of entry that only a newer version knows."""

    def __init__(self, file: object, line: int, kind: str) -> None:
        super().__init__(
            f"{file}:{line}: made by a newer version: it holds the entry kind {kind}. "
            "Install the newer version to take it in."
        )


class NewerEntryError(StabilityError):
    """The records hold an entry of a kind that only a newer version knows."""

    def __init__(self, where: str, kind: str) -> None:
        super().__init__(
            f"Entry {where} is of kind {kind}, which was recorded by a newer version "
            "of this program. Install that version to read it."
        )


class UnsafePathError(StabilityError):
    """A name would lead out of the folder that is being written."""

    def __init__(self, path: str) -> None:
        super().__init__(
            f"{path!r} cannot be written: it is no plain name inside the folder."
        )


class NoAnchorError(StabilityError):
    """A file given to verify against carries no anchor of ours."""

    def __init__(self, path: object) -> None:
        super().__init__(
            f"{path} carries no anchor. Give a report, workbook, archive or backup "
            "made by this program, SUBJECT/POSITION:DIGEST or NUMBER:SEAL."
        )


class FolderNotWritableError(StabilityError):
    """A folder does not take what is to be written into it."""

    def __init__(self, folder: object, reason: str) -> None:
        super().__init__(
            f"Nothing could be written into {folder}: {reason}. Name a folder that "
            "exists and that this account may write to."
        )


class BackupExistsError(StabilityError):
    """A backup is to be written where something stands already."""

    def __init__(self, path: object) -> None:
        super().__init__(
            f"{path} exists already; a backup never writes over anything. Name a new "
            "file."
        )


class NotEmptyError(StabilityError):
    """Records are to be moved into a workspace that has some."""

    def __init__(self, shown: str) -> None:
        super().__init__(
            f"{shown} holds records already. Move into a new workspace, or use "
            "'stability export' and 'stability import' to join studies."
        )


class BrokenRecordError(StabilityError):
    """Records that do not hold are to be copied entry by entry."""

    def __init__(self, shown: str) -> None:
        super().__init__(
            f"The records in {shown} do not follow on each other and cannot be copied "
            "entry by entry; nothing was copied. Run 'stability verify' to see what "
            "does not hold, and keep a copy of the database as it is."
        )


# --- certificates of laboratories ---


class CertificateLacksError(StabilityError):
    """A certificate does not say of what it is, or from where."""

    def __init__(self, what: str, lacking: Sequence[str]) -> None:
        super().__init__(
            f"The {what} certificate lacks {', '.join(lacking)}; without them a result "
            "belongs to no product. Nothing was stored. Read them from the paper and "
            "give them all at once."
        )


class CertificateFaultsError(StabilityError):
    """Something of a certificate cannot be taken; all faults at once."""

    def __init__(self, what: str, faults: Sequence[str]) -> None:
        super().__init__(
            f"The {what} certificate was not stored: {'; '.join(faults)}. Mend it and "
            "give the certificate again."
        )


class CertificateKnownError(StabilityError):
    """The same result of the same certificate is recorded already."""

    def __init__(self, title: str, reference: str) -> None:
        super().__init__(
            f"{title} is recorded already as {reference}. If that is wrong, set it "
            f"aside first: stability invalidate {reference} --because REASON."
        )


class CertificateNotCorrectedError(StabilityError):
    """A certificate is to be corrected like a reading."""

    def __init__(self, reference: str) -> None:
        super().__init__(
            f"{reference} is a certificate, of which no single value is corrected. Set "
            f"it aside with 'stability invalidate {reference} --because REASON', then "
            "give it anew with 'stability certificate'."
        )


class CertificateFileError(StabilityError):
    """The file of a certificate cannot be kept."""

    def __init__(self, path: object, reason: str) -> None:
        super().__init__(
            f"The file {path} was not taken: {reason}. Nothing was stored. Name a PDF, "
            "PNG or JPEG of at most 20 MB, or leave the file out."
        )


# --- entering readings at the bench ---


class SampleOfOtherStudyError(StabilityError):
    """A code was scanned that belongs to another study."""

    def __init__(self, code: str, its: str, here: str) -> None:
        super().__init__(
            f"{code} is a sample of study {its}, and this is study {here}: put it "
            f"aside and read it with 'stability enter {its}'."
        )


class NothingDueError(StabilityError):
    """Nothing is due on a sample that was scanned."""

    def __init__(self, code: str, day: str, following: str) -> None:
        ahead = f"; {following}" if following else ""
        super().__init__(
            f"Nothing is due on {code} on {day}{ahead}. Put it back unopened; to read "
            f"it all the same use 'stability log {code} NAME=READING'."
        )


class AnswerError(StabilityError):
    """A line that cannot be an answer to what was asked."""

    def __init__(self, reason: str) -> None:
        super().__init__(f"This is no answer: {reason}.")


class AnswersStoppedError(StabilityError):
    """An answer that comes from a file or program was not taken."""

    def __init__(self, line: int, typed: str, reason: str) -> None:
        super().__init__(
            f"Line {line} of the answers, {typed!r}, was not taken: {reason} What was "
            "told as stored before it is stored; nothing after it was read. Mend the "
            "line and give the answers from there on, beginning with the sample code."
        )


# --- labels and calendar ---


class LabelSheetError(StabilityError):
    """A label sheet of a size that is not known."""

    def __init__(self, typed: str, known: Sequence[str]) -> None:
        super().__init__(
            f"No label sheet of {typed} is known. Known sizes in mm: "
            f"{', '.join(known)}. Name one with --sheet, or give any size to --printer."
        )


class LabelSizeError(StabilityError):
    """A size of labels, a margin or a pitch that cannot be read or used."""

    def __init__(self, option: str, typed: str, reason: str) -> None:
        super().__init__(
            f"{option} {typed!r}: {reason}. Write width x height in mm, such as 50x30."
        )


class LabelStartError(StabilityError):
    """A first label beyond the sheet."""

    def __init__(self, start: int, last: int) -> None:
        super().__init__(
            f"--start-at {start}: there are labels 1 to {last} on a page, counted row "
            "by row. Name the first free one."
        )


class LabelKindError(StabilityError):
    """Options for a sheet of labels together with a label printer."""

    def __init__(self, option: str) -> None:
        super().__init__(
            f"{option} is for sheets, and --printer prints one label a page. Leave one "
            "of them out."
        )


class NoLabelsError(StabilityError):
    """Nothing to print on labels."""

    def __init__(self, study: str, reason: str) -> None:
        super().__init__(f"There is no label of study {study} to print: {reason}.")


class CalendarScopeError(StabilityError):
    """A calendar of no study, or of one and all."""

    def __init__(self) -> None:
        super().__init__("Name one study for the calendar, or give --all; not both.")


class NothingPlannedError(StabilityError):
    """A calendar without any event."""

    def __init__(self, what: str) -> None:
        super().__init__(
            f"Nothing is planned any more in {what}, so no calendar was written. "
            "'stability due' lists what waits; 'stability history' what happened."
        )


class ReminderError(StabilityError):
    """A time before an event that is not exact."""

    def __init__(self, typed: str) -> None:
        super().__init__(
            f"--remind {typed!r} is no time before an event. Write hours, days or "
            "weeks, such as 12h, 1d or 1w."
        )


# Instruments and their calibrations


class InstrumentNameError(StabilityError):
    """A short name or suffix that an instrument cannot have."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed!r} is no name of an instrument: {reason}. Give it a letter and up "
            "to 11 more letters or digits, such as PH1; the suffix has four."
        )


class InstrumentKnownError(StabilityError):
    """An instrument of this short name is registered already."""

    def __init__(self, name: str, code: str) -> None:
        super().__init__(
            f"{name} is registered already, as {code}. Give the new instrument another "
            f"name; 'stability instrument show {name}' tells what is on record."
        )


class UnknownInstrumentError(StabilityError):
    """No instrument is meant by a name, or more than one."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed!r} names no one instrument: {reason}. 'stability instrument "
            "list' lists them, 'stability instrument add' registers one."
        )


class InstrumentRulesError(StabilityError):
    """Rules that an instrument cannot be registered with; all of them at once."""

    def __init__(self, name: str, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__(f"{name} was not registered: {'; '.join(self.faults)}.")


class CalibrationError(StabilityError):
    """A calibration that cannot be taken as typed; all that is wrong at once."""

    def __init__(self, name: str, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__(
            f"The calibration of {name} was not stored: {'; '.join(self.faults)}."
        )


class InstrumentReferenceError(StabilityError):
    """A reference that leads to no calibration that stands."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed}: {reason}. 'stability instrument show' lists the calibrations "
            "with their numbers."
        )


class NothingReadWithError(StabilityError):
    """A reading is said to be made with an instrument that it is not read with."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"instrument={typed} does not tell what was read with it: {reason}. Write "
            "the attribute as well, such as pH.instrument=PH1."
        )


# --- photographs and follow-ups ---


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


class FollowUpError(StabilityError):
    """A follow-up that cannot be taken as typed."""

    def __init__(self, reference: str, reason: str) -> None:
        super().__init__(
            f"The follow-up of {reference} was not stored: {reason}. 'stability "
            "follow-up --help' shows an example."
        )


class FollowUpOfWhatError(StabilityError):
    """`follow-up` was given neither an entry nor a study, or half of an answer."""

    def __init__(self, reason: str) -> None:
        super().__init__(
            f"{reason}. Name an entry with --outcome and --because, or list the "
            "follow-ups of a study with --list STUDY."
        )


# --- storage places and their loggers ---


class PlaceNameError(StabilityError):
    """A short name or suffix that a storage place cannot have."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed!r} is no name of a storage place: {reason}. Give it a letter and "
            "up to 11 more letters or digits, such as OVEN; the suffix has four."
        )


class PlaceKnownError(StabilityError):
    """A storage place of this short name is registered already."""

    def __init__(self, name: str, code: str) -> None:
        super().__init__(
            f"{name} is registered already, as {code}. Give the new place another "
            f"name; 'stability storage show {name}' tells what is on record."
        )


class UnknownPlaceError(StabilityError):
    """No storage place is meant by a name, or more than one."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed!r} names no one storage place: {reason}. 'stability storage list' "
            "lists them, 'stability storage add' registers one."
        )


class PlaceRangeError(StabilityError):
    """A storage place cannot be registered as typed; all that is wrong at once."""

    def __init__(self, name: str, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__(f"{name} was not registered: {'; '.join(self.faults)}.")


class StorageRecordError(StabilityError):
    """A look, an event or an answer cannot be taken as typed."""

    def __init__(self, name: str, reason: str) -> None:
        super().__init__(f"{name}: nothing was stored: {reason}.")


class StorageReferenceError(StabilityError):
    """A reference that leads to no entry of a storage place that stands."""

    def __init__(self, typed: str, reason: str) -> None:
        super().__init__(
            f"{typed}: {reason}. 'stability storage show' lists what is on record with "
            "its numbers."
        )


class LoggerUnreadableError(StabilityError):
    """The file of a logger is not there or may not be read."""

    def __init__(self, path: object, reason: str) -> None:
        super().__init__(
            f"The file {path} cannot be read: {reason}. Nothing was stored; name the "
            "CSV file that the logger's program exports."
        )


class LoggerFileError(StabilityError):
    """The file of a logger cannot be taken; everything that was found at once."""

    def __init__(self, file: str, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__(
            f"{file}: {'; '.join(self.faults)}. Nothing was stored; mend the file, or "
            "declare how it is to be read."
        )


class LoggerColumnsError(StabilityError):
    """What the columns of a logger's file are cannot be told."""

    def __init__(self, file: str, faults: Sequence[str]) -> None:
        self.faults = tuple(faults)
        super().__init__(f"{file}: {'; '.join(self.faults)}. Nothing was stored.")


class LoggerTooShortError(StabilityError):
    """The file of a logger holds fewer than two readings."""

    def __init__(self, file: str, readings: int) -> None:
        count = "one reading" if readings == 1 else f"{readings or 'no'} readings"
        super().__init__(
            f"{file} holds {count}. A reading holds until the next, so that it tells "
            "nothing of any time; nothing was stored. Take in a longer file, or store "
            "a look with 'stability storage look'."
        )


class LoggerBackwardsError(StabilityError):
    """The file of a logger goes back in time."""

    def __init__(self, file: str, line: int, before: str, after: str) -> None:
        super().__init__(
            f"{file}, line {line}: the time goes back from {before} to {after}. "
            "Nothing was stored. If its clock was set anew there, cut the file in two "
            "and take in both; if it follows summer time, declare its zone, such as "
            "--zone Europe/Dublin."
        )


class SheetScopeError(StabilityError):
    """A bench sheet of neither one study nor all."""

    def __init__(self) -> None:
        super().__init__("Name a study for the sheet, or write every study with --all.")


class SheetFormError(StabilityError):
    """A bench sheet that is to be written nowhere."""

    def __init__(self) -> None:
        super().__init__(
            "Name what to write: --out FILE.pdf for a pen, --xlsx FILE.xlsx for a "
            "workbook, or both."
        )


class EmptySheetError(StabilityError):
    """A bench sheet of a day on which nothing is due."""

    def __init__(self, what: str, day: str) -> None:
        super().__init__(
            f"In {what} nothing is due on {day}. See 'stability due' for the days, and "
            "name one with --on."
        )


class LoggerDeclaredError(StabilityError):
    """What is declared of a logger's file has another form."""

    def __init__(self, option: str, typed: str, known: Sequence[str]) -> None:
        super().__init__(f"{option} {typed}: write {' or '.join(known)}.")
