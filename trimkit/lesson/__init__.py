"""What a lesson's notebook uses: begin, ask, answer, predict, compare, the case, the own file."""

from trimkit.lesson.case import case
from trimkit.lesson.casebook import open_case
from trimkit.lesson.own import own
from trimkit.lesson.prediction import compare, predict
from trimkit.lesson.session import answer, ask, begin, say

__all__ = [
    "answer",
    "ask",
    "begin",
    "case",
    "compare",
    "open_case",
    "own",
    "predict",
    "say",
]
