"""The tasks of a line, a row a task, as a shop keeps them in a spreadsheet: read, and written again."""

from offtool.exchange.line_tasks.read import read_line_tasks
from offtool.exchange.line_tasks.table import LineTaskRead, LineTasksTable
from offtool.exchange.line_tasks.words import TIMES
from offtool.exchange.line_tasks.write import TaskLine, write_line_tasks

__all__ = ["TIMES", "LineTaskRead", "LineTasksTable", "TaskLine", "read_line_tasks", "write_line_tasks"]
