"""How large a sheet may be, in every direction; holds figures and nothing else."""

MOST_BYTES = 5 * 1024 * 1024
MOST_UNPACKED_BYTES = 40 * 1024 * 1024
# Sheets pack 10 to 40 times smaller; a file that unpacks further was made to.
MOST_RATIO = 150
RATIO_FREE_BYTES = 1024 * 1024
MOST_MEMBERS = 200
MOST_ROWS = 2_000
MOST_COLUMNS = 100
# Marks "<" of XML: six for a cell of text that is written in place, and room for the rest.
MOST_CELL_MARKS = 6 * MOST_ROWS * MOST_COLUMNS + 50_000
MOST_BOOK_MARKS = 20_000
MOST_CELL_CHARACTERS = 2_000
MOST_FORMAT_CHARACTERS = 200
LARGEST_NUMBER = 10**12
