"""Job sheets, from bytes to rows that are right in themselves; must not know Django or any row."""

from jobs.sheets.errors import Expected, SheetError
from jobs.sheets.reading import sheet_read
from jobs.sheets.rows import Sheet, SheetRow

__all__ = ["Expected", "Sheet", "SheetError", "SheetRow", "sheet_read"]
