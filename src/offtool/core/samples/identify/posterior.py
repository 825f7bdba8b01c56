"""The probability of every origin of a piece, parts taken together: exact, by summing out each part.

P(o | all) ~ P(o) l(o) prod_j [ (1 - e) sum_m w(o, j, m) L_j(m) + e sum_m v_j(m) L_j(m) ]

o an origin of the piece, j a part, m one of its makes (none of these among them), l and L what was found on
the piece and on the part, w the makes that the origin says, v the makes that turn up anywhere, e how often a
part is from elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from offtool.core.samples.identify.hypotheses import Logs, PartCase, PieceCase

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PartSum:
    """One part: what was found on it by make, and how it enters each origin."""

    case: PartCase
    logs: Logs
    """Of all findings together, for each make and last for none of these."""
    said: sparse.csr_array
    """Origins × makes: the makes that each origin says, none of these last."""
    anywhere: Array
    """Shares of the makes that turn up anywhere."""
    elsewhere: float
    scale: float

    @property
    def likelihood(self) -> Array:
        """Of each make, beside the best."""
        return np.exp(self.logs - self.scale)

    def of_origins(self) -> Array:
        """What the part says of each origin, beside its own scale."""
        like = self.likelihood
        return self.mixed(like)

    def mixed(self, of_makes: Array) -> Array:
        """Any quantity of the makes, as each origin mixes it."""
        own = self.said @ of_makes
        return np.asarray((1 - self.elsewhere) * own + self.elsewhere * (self.anywhere @ of_makes))

    def makes_given(self, origins: Array) -> Array:
        """The probability of each make, given the probabilities of the origins."""
        like = self.likelihood
        weights = origins / self.of_origins()
        own = (1 - self.elsewhere) * (self.said.T @ weights)
        return np.asarray((own + self.elsewhere * weights.sum() * self.anywhere) * like)

    def belonging(self) -> Array:
        """For each origin, how probable it is that the part is one that the origin says."""
        own = (1 - self.elsewhere) * (self.said @ self.likelihood)
        return np.asarray(own / self.of_origins())


@dataclass(frozen=True, slots=True)
class Summed:
    """A piece with everything summed out: the probability of each origin, none of these last."""

    case: PieceCase
    priors: Array
    posterior: Array
    parts: tuple[PartSum, ...]
    own_logs: Logs
    log_evidence: float


def sum_out(case: PieceCase) -> Summed:
    """The exact posterior over the origins of a piece."""
    priors = _priors(case)
    parts = tuple(_part(case, one, priors) for one in case.parts)
    own = np.zeros(priors.size)
    for one in case.findings:
        own = own + one.log_likelihood
    logs = np.log(priors) + own
    for part in parts:
        logs = logs + np.log(part.of_origins()) + part.scale
    evidence = float(np.logaddexp.reduce(logs))
    return Summed(
        case=case,
        priors=priors,
        posterior=np.exp(logs - evidence),
        parts=parts,
        own_logs=own,
        log_evidence=evidence,
    )


def _priors(case: PieceCase) -> Array:
    kept = np.array([one.kept for one in case.occasions], dtype=float)
    kept = kept / kept.sum()
    return np.append(kept * (1 - case.none_of_these), case.none_of_these)


def _part(case: PieceCase, part: PartCase, priors: Array) -> PartSum:
    """An origin that says no make of the part knows nothing of it: it may be any make."""
    none = len(part.makes)
    rows, columns, shares = [len(case.occasions)], [none], [1.0]
    silent = []
    for row, occasion in enumerate(case.occasions):
        made = occasion.made.get(part.label, {})
        whole = sum(made.values())
        if not whole:
            silent.append(row)
        for make, share in made.items():
            rows.append(row)
            columns.append(make)
            shares.append(share / whole)
    shape = (priors.size, none + 1)
    said = sparse.csr_array((shares, (rows, columns)), shape=shape)
    anywhere = np.asarray(priors @ said)
    anywhere /= anywhere.sum()
    if silent:
        usual = np.zeros(priors.size)
        usual[silent] = 1.0
        said = sparse.csr_array(said + sparse.csr_array(np.outer(usual, anywhere)))
    logs = np.zeros(none + 1)
    for one in part.findings:
        logs = logs + one.log_likelihood
    return PartSum(
        case=part,
        logs=logs,
        said=said,
        anywhere=anywhere,
        elsewhere=case.elsewhere,
        scale=float(logs.max()),
    )
