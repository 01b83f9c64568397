"""The parts of an XLSX archive, each held to the limits as it is unpacked; knows no cell."""

import io
import zipfile

from openpyxl.xml.constants import SHEET_MAIN_NS

from jobs.sheets import limits
from jobs.sheets.errors import SheetRefused, refused
from jobs.sheets.errors import marked as _

# The namespace of "Strict Open XML" workbooks, whose cells are written the same: ISO/IEC 29500-1.
_STRICT_NS = b"http://purl.oclc.org/ooxml/spreadsheetml/main"


def damaged(why: str) -> SheetRefused:
    """Return the refusal of a workbook that is not as a workbook should be."""
    return refused(_("expected an XLSX workbook; this file is damaged (%(why)s)"), why=why)


class Parts:
    """What is asked of an archive by name, as openpyxl asks it; nothing beyond the limits."""

    def __init__(self, content: bytes) -> None:
        """Open the archive. Raises SheetRefused for a bomb or a lock, BadZipFile for no archive."""
        self._archive = zipfile.ZipFile(io.BytesIO(content))
        _refuse_bomb(self._archive.infolist(), len(content))

    def __contains__(self, name: str) -> bool:
        return name in self._archive.namelist()

    def read(self, name: str, most_marks: int = limits.MOST_BOOK_MARKS) -> bytes:
        """Return one part, never more of it than it was said to hold (else its check sum is wrong).

        Each element of XML begins with a mark, "<"; so few marks can make but few elements.
        """
        content = self._archive.read(name)
        if content.count(b"<") > most_marks:
            raise _too_much()
        return content.replace(_STRICT_NS, SHEET_MAIN_NS.encode())


def _refuse_bomb(infos: list[zipfile.ZipInfo], packed_bytes: int) -> None:
    """Judge by what the archive says of itself; reading a part then holds it to that."""
    unpacked_bytes = sum(info.file_size for info in infos)
    blown_up = unpacked_bytes > max(packed_bytes * limits.MOST_RATIO, limits.RATIO_FREE_BYTES)
    if len(infos) > limits.MOST_MEMBERS or blown_up or unpacked_bytes > limits.MOST_UNPACKED_BYTES:
        raise _too_much()
    if any(info.flag_bits & 0x1 for info in infos):
        raise refused(_("expected a workbook without a password"))


def _too_much() -> SheetRefused:
    return refused(_("expected a workbook of usual size; this one unpacks to far too much"))
