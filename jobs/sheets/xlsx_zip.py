"""An XLSX archive unpacked under limits, and a small one packed anew; knows no cell."""

import io
import re
import zipfile
import zlib

from jobs.sheets import limits
from jobs.sheets.errors import SheetRefused, refused
from jobs.sheets.errors import marked as _

_NEEDED = re.compile(
    r"xl/(workbook|sharedStrings|styles)\.xml|xl/_rels/workbook\.xml\.rels|xl/worksheets/[^/]+\.xml"
)
_CHUNK = 64 * 1024

Members = dict[str, bytes]


def damaged(why: str) -> SheetRefused:
    """The refusal of a workbook that is not as a workbook should be."""
    return refused(_("expected an XLSX workbook; this file is damaged (%(why)s)"), why=why)


def unpacked(content: bytes) -> Members:
    """Everything that is needed of the archive. Nothing is unpacked beyond the limits."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            _refuse_bomb(archive, len(content))
            return {
                info.filename: _member(archive, info)
                for info in archive.infolist()
                if _NEEDED.fullmatch(info.filename)
            }
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError, OSError) as error:
        raise damaged(type(error).__name__) from None


def _refuse_bomb(archive: zipfile.ZipFile, packed_bytes: int) -> None:
    """Judge by what the archive says of itself; `_member` then holds it to that."""
    infos = archive.infolist()
    unpacked_bytes = sum(info.file_size for info in infos)
    blown_up = unpacked_bytes > max(packed_bytes * limits.MOST_RATIO, limits.RATIO_FREE_BYTES)
    if len(infos) > limits.MOST_MEMBERS or blown_up or unpacked_bytes > limits.MOST_UNPACKED_BYTES:
        raise refused(_("expected a workbook of usual size; this one unpacks to far too much"))
    if any(info.flag_bits & 0x1 for info in infos):
        raise refused(_("expected a workbook without a password"))


def _member(archive: zipfile.ZipFile, info: zipfile.ZipInfo) -> bytes:
    """One member, never more of it than it was said to hold (else its check sum is wrong)."""
    with archive.open(info) as stream:
        return b"".join(iter(lambda: stream.read(_CHUNK), b""))


def packed(members: Members) -> bytes:
    """An archive of these members."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return buffer.getvalue()
