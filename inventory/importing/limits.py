"""How large a sheet may be: generous for a seed plant's year, too small to hurt the machine.

A plant of forty deliveries a day writes about 12,000 rows a year; the widest sheet of such a year has about 30 columns.
"""

MAX_FILE_BYTES = 16 * 1024 * 1024
MAX_UNPACKED_BYTES = 96 * 1024 * 1024
MAX_PART_RATIO = 250  # unpacked to packed; a sheet of near-identical rows reaches about 60
RATIO_FROM_BYTES = 1024 * 1024  # small parts are harmless at any ratio
MAX_PARTS = 2_000
MAX_ROWS = 20_000
ROWS_AT_ONCE = 1_000  # more are checked and saved as a job: one core takes 1.6 ms and 3.6 ms a row; proxies cut at 30 s
MAX_COLUMNS = 256
MAX_CELLS = 600_000  # 20,000 rows of 30 columns
MAX_CELL_TEXT = 32_767  # characters a spreadsheet cell can hold (ECMA-376 readers' own limit)

READER_MEMORY_BYTES = 448 * 1024 * 1024
READER_OUTPUT_BYTES = 64 * 1024 * 1024
SECONDS_AT_LEAST = 4.0  # an unusable file is refused within five seconds
SECONDS_AT_MOST = 14.0
SMALL_UNPACKED_MB = 2.0
SECONDS_PER_UNPACKED_MB = 1.0  # 12,000 rows of 12 columns unpack to about 6 MB and are read in 1.5 s on an idle machine
