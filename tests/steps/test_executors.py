"""The same runs on one core, on processes and on a cluster give the same numbers."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from offtool import __version__
from offtool.core.pilot.simulation import LineSimulated, simulate_line
from offtool.core.values import ImpossibleInput, OfftoolError
from offtool.steps import executors
from offtool.steps.executors import executor_for
from tests.core.pilot.simulation.lines import random_row


def simulated(executor: Any = None) -> LineSimulated:
    return simulate_line(random_row(1, 2), hours=0.5, runs=6, seed=4, executor=executor)


@contextmanager
def a_cluster() -> Iterator[str]:
    """Two workers in threads of this process, and the address of their scheduler."""
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=False, dashboard_address=None, host="127.0.0.1",
        protocol="tcp", silence_logs=50,
    ) as cluster:  # fmt: skip
        yield cluster.scheduler_address


@pytest.mark.filterwarnings("ignore::ResourceWarning", "ignore::DeprecationWarning")
def test_a_cluster_given_an_address_gives_the_numbers_of_one_core() -> None:
    with a_cluster() as address:
        assert address.startswith("tcp://127.0.0.1:")
        with executor_for(0.1, cluster=address) as executor:
            assert executor is not None
            assert simulated(executor) == simulated()


@pytest.mark.filterwarnings("ignore::ResourceWarning", "ignore::DeprecationWarning")
def test_a_cluster_of_another_version_is_refused_by_worker(monkeypatch: pytest.MonkeyPatch) -> None:
    with a_cluster() as address:
        monkeypatch.setattr(executors, "version_here", lambda: "0.0.1")
        with (
            pytest.raises(OfftoolError, match=f"has offtool 0.0.1, not {__version__}"),
            executor_for(0.1, cluster=address),
        ):
            pass


def test_a_cluster_that_does_not_answer_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(executors, "ANSWERS_WITHIN_S", 1)
    for address in ("tcp://127.0.0.1:9", "nowhere at all"):
        with (
            pytest.raises(OfftoolError, match=f"cluster {address}: does not answer within 1 s"),
            executor_for(0.1, cluster=address),
        ):
            pass


def test_a_missing_library_names_the_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with (
        pytest.raises(OfftoolError, match=r"pip install 'offtool\[cluster\]'"),
        executor_for(0.1, cluster="tcp://127.0.0.1:8786"),
    ):
        pass


def test_processes_give_the_numbers_of_one_core_and_short_work_starts_none() -> None:
    with executor_for(0.1) as executor:
        assert executor is None
    with executor_for(1000.0, workers=1) as executor:
        assert executor is None
    with executor_for(0.1, workers=2) as executor:
        assert executor is not None
        assert simulated(executor) == simulated()


@pytest.mark.parametrize("workers", [0, -1, 1000])
def test_a_number_of_workers_that_cannot_be_is_refused(workers: int) -> None:
    with pytest.raises(ImpossibleInput, match=f"workers = {workers}"), executor_for(1.0, workers=workers):
        pass
