"""The jobs that run on the presses, a row a job, as planning keeps them: read from CSV and XLSX."""

from offtool.exchange.jobs_file.read import read_jobs
from offtool.exchange.jobs_file.table import JobRowRead, JobsTable

__all__ = ["JobRowRead", "JobsTable", "read_jobs"]
