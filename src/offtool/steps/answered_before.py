"""Computations whose answer is kept for the same question; it follows from values alone, so none grows stale.

The question is told by the bytes of all its arguments. A record that changes asks another question; only as
many answers are kept as a few programmes need.
"""

from __future__ import annotations

import pickle
from collections import OrderedDict
from collections.abc import Callable
from functools import wraps
from hashlib import sha256
from threading import Lock
from typing import ParamSpec, TypeVar

MOST_KEPT = 64

P = ParamSpec("P")
R = TypeVar("R")


def answered_before(function: Callable[P, R]) -> Callable[P, R]:
    """The function, asked anew only where it was not asked just so before; its answers are not to be changed.

    Only for a function whose answer follows from its arguments alone. What it refuses is not kept.
    """
    answers: OrderedDict[str, R] = OrderedDict()
    lock = Lock()

    @wraps(function)
    def answered(*args: P.args, **kwargs: P.kwargs) -> R:
        asked = sha256(pickle.dumps((args, sorted(kwargs.items())))).hexdigest()
        with lock:
            if asked in answers:
                answers.move_to_end(asked)
                return answers[asked]
        answer = function(*args, **kwargs)
        with lock:
            answers[asked] = answer
            while len(answers) > MOST_KEPT:
                answers.popitem(last=False)
        return answer

    return answered
