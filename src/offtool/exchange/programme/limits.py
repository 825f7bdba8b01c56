"""How large a programme folder's files may be: what a person can mean, and memory can hold."""

from __future__ import annotations

from offtool.exchange.readings.limits import MAX_BYTES

LARGEST_TOML_BYTES = 10_000_000
LARGEST_TABLE_BYTES = 200_000_000
LARGEST_READINGS_BYTES = 1_000_000_000  # one trial; a million readings are 45 MB
LARGEST_ORIGINAL_BYTES = MAX_BYTES  # what the reader took must come back
