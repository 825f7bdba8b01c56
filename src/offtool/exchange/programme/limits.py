"""How large a programme folder's files may be: what a person can mean, and memory can hold."""

from __future__ import annotations

LARGEST_TOML_BYTES = 10_000_000
LARGEST_TABLE_BYTES = 200_000_000  # a trial of 3 million readings
LARGEST_ORIGINAL_BYTES = 50_000_000  # as the reader takes them
