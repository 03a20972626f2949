"""Certificates of laboratories."""

from __future__ import annotations

from collections.abc import Sequence

from stability.errors.base import StabilityError


class CertificateLacksError(StabilityError):
    """A certificate does not say of what it is, or from where."""

    def __init__(self, what: str, lacking: Sequence[str]) -> None:
        one = len(lacking) == 1
        them, all_of_them = (
            ("it", "it besides") if one else ("them", "them all at once")
        )
        super().__init__(
            f"The {what} certificate lacks {', '.join(lacking)}; without {them} a "
            f"result belongs to no product. Nothing was stored. Read {them} from the "
            f"paper and give {all_of_them}."
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
