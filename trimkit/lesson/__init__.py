"""What a lesson's notebook uses: begin, ask, answer, predict, compare and the case."""

from trimkit.lesson.case import case
from trimkit.lesson.prediction import compare, predict
from trimkit.lesson.session import answer, ask, begin, say

__all__ = ["answer", "ask", "begin", "case", "compare", "predict", "say"]
