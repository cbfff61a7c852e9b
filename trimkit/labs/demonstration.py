"""The demonstration desk: one case for a whole class, on a projector, one key for each step.

The class sees a flight, votes by hands, sees what the next look, reading or flight shows, votes
again. What is wrong stays hidden until everybody has voted. The coach types how many hands went
up; no name and no mark is on the screen, and nothing is kept.
"""

from __future__ import annotations

import html
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from IPython.display import display

from trimkit.diagnosis import causes, steps
from trimkit.faults import CATALOGUE
from trimkit.labs.bench import LAB_DPI, image_tag, widgets_work
from trimkit.lesson import casebook
from trimkit.lesson.case import FAMILIES, OF_ITSELF, Case, Seen
from trimkit.lesson.referee import Refused, hidden_faults
from trimkit.lesson.session import say
from trimkit.log import CANNOT_TELL

SEEDS = (13, 7, 14, 10, 11, 16)
AEROPLANE = "hallfinch-46"
LOW_SHARE = 0.5  # of the most turns, for the first flight; assumed
MOST_STEPS = 4  # looks, readings and flights before the last vote
STANDS_OUT = 0.75  # as the reference
CANDIDATES = 3  # faults in the last vote, besides the one that is there
MOST_HANDS = 99
MOST_CLAUSES = 4  # of a flight's words
PICTURE_WIDTH, VOTE_WIDTH, LEAST_HEIGHT = "56%", "42%", "36em"
WHAT_TO_DO = (
    "Press Space or Enter for the next step. Ask, count hands, type the numbers, then press on. "
    "What is wrong is shown only at the end, after the last vote."
)
Shown = tuple[str, str, Seen | None, Sequence[str]]
"""Heading, words, what a picture is drawn of, and what is voted on."""


def demonstration(number: int = 1) -> None:
    """Open the desk for one of the cases that are kept for a whole class.

    Parameters
    ----------
    number : int
        1 to 6 [-].

    Raises
    ------
    Refused
        When there is no such demonstration.
    """
    if isinstance(number, bool) or number not in range(1, len(SEEDS) + 1):
        raise Refused(f"The demonstration is {str(number)[:20]}; allowed is 1 to {len(SEEDS)}.")
    if widgets_work():
        display(Desk(number).form)
        return
    say(WHAT_TO_DO, strong=f"Demonstration {number}")


class Desk:
    """The desk: a heading, words, a picture, hands, and one button.

    Parameters
    ----------
    number : int
        1 to 6 [-].

    Attributes
    ----------
    form : ipywidgets.VBox
        Everything, ready to be shown [-].
    onward : Button
        The next step [-].
    heading, words, image, before : HTML
        What the class sees, and the votes so far [-].
    hands : list of BoundedIntText
        Hands for each choice, empty when nothing is voted on [-].
    """

    def __init__(self, number: int) -> None:
        import ipywidgets  # here, so that the words work where it is not installed

        self._w = ipywidgets
        self._shelf = tempfile.TemporaryDirectory(prefix="trimkit-desk-")
        self._terms = casebook.terms(AEROPLANE, f"demonstration {SEEDS[number - 1]}")
        self._case = Case(self._terms, Path(self._shelf.name))
        self._left: list[Callable[[], Shown]] = [self._card, self._first]
        self._evidence = 0
        self._choices: Sequence[str] = ()
        self.heading, self.words, self.image, self.before = (ipywidgets.HTML() for _ in range(4))
        self.hands: list[Any] = []
        self._votes = ipywidgets.VBox(layout=ipywidgets.Layout(width=VOTE_WIDTH))
        self.onward = ipywidgets.Button(
            description="Next", button_style="success", tooltip="The next step",
            layout=ipywidgets.Layout(width="8em", height="3em", flex="0 0 auto"),
        )  # fmt: skip
        self.onward.on_click(lambda _: self._next())
        self.image.layout.width = PICTURE_WIDTH
        top = ipywidgets.HBox([self.onward, self.heading])
        middle = ipywidgets.HBox([self._votes, self.image])
        tall = ipywidgets.Layout(min_height=LEAST_HEIGHT)  # so that the page does not jump
        self.form = ipywidgets.VBox([top, self.words, middle, self.before], layout=tall)
        self._show((f"Demonstration {number}", WHAT_TO_DO, None, ()))

    # --- the steps, in order ---

    def _card(self) -> Shown:
        turns = self._turns()
        flown = self._case.card(turns).flown[turns]
        return "When all was well", f"{turns:.0f} turns: {_short(flown)}", None, ()

    def _first(self) -> Shown:
        seen = self._case.fly(self._turns(), "no idea yet", OF_ITSELF[0], "guess")
        self._left.append(self._ask_for_more)
        return "Today, the same turns", _short(seen.words), seen, tuple(FAMILIES.values())

    def _ask_for_more(self) -> Shown:
        """Name the next test, and wait; or go to the last vote."""
        log = self._case.log
        step = steps.next_steps(log, self._case.aeroplane)[0]
        if self._evidence == MOST_STEPS or self._stands_out():
            self._left += [self._reveal, self._cure]
            return "What is it?", "The last vote. Hands up for one.", None, self._candidates()
        self._evidence += 1
        self._left.append(lambda: self._done(step))
        told = step.words().rpartition(" (")[0]
        return "The next test", f"{told}. What will it show?", None, ()

    def _done(self, step: Any) -> Shown:
        seen = self._did(step)
        self._left.append(self._ask_for_more)
        return "It shows", _short(seen.words), seen, tuple(FAMILIES.values())

    def _did(self, step: Any) -> Seen:
        self._case.go_on()
        if step.action == "look":
            return self._case.look(step.what)
        if step.action == "measure":
            return self._case.measure(step.what, turns=self._case.turns)
        moved, turns = dict(step.changes.amounts), step.turns or self._case.turns
        thought = ("no idea yet", OF_ITSELF[0], "guess")
        if moved or turns != self._case.turns:
            idea, expected, sure = thought
            return self._case.change(idea, expected, sure, turns=turns, **moved)
        return self._case.fly(turns, *thought)

    def _reveal(self) -> Shown:
        fault = CATALOGUE[self._truth()]
        return "It was", f"{fault.title}. {fault.cure} {fault.caution}".strip(), None, ()

    def _cure(self) -> Shown:
        self._case.go_on()
        seen = self._case.repair(self._truth(), OF_ITSELF[2], "fairly sure")
        return "Repaired, the same turns", _short(seen.words), seen, ()

    # --- what they need ---

    def _turns(self) -> float:
        return float(round(LOW_SHARE * self._case.most_turns, -1))

    def _truth(self) -> str:
        return hidden_faults(self._terms)[0][0]

    def _belief(self) -> dict[str, float]:
        found = causes.posterior(self._case.log, self._case.aeroplane).probabilities
        return {name: p for name, p in found.items() if name in CATALOGUE}

    def _stands_out(self) -> bool:
        return max(self._belief().values()) >= STANDS_OUT

    def _candidates(self) -> tuple[str, ...]:
        """The likeliest and the one that is there, in an order that tells nothing."""
        belief = self._belief()
        likely = sorted(belief, key=lambda name: -belief[name])[:CANDIDATES]
        titles = sorted({CATALOGUE[name].title for name in (*likely, self._truth())})
        return (*titles, CANNOT_TELL)

    # --- on the screen ---

    def _next(self) -> None:
        self._keep_votes()
        if not self._left:
            return
        self.words.value = "<p>One moment.</p>"
        try:
            shown = self._left.pop(0)()
        except Refused as problem:
            shown = ("That did not work", problem.sentence(), None, ())
        self._show(shown)
        self.onward.disabled = not self._left
        self.onward.focus()

    def _keep_votes(self) -> None:
        """Write the hands of the last vote below, in the order of the choices."""
        pairs = zip(self._choices, self.hands, strict=True)
        told = [f"{one}: {box.value}" for one, box in pairs if box.value]
        if told:
            self.before.value += f"<p>Hands. {html.escape('; '.join(told))}</p>"

    def _show(self, shown: Shown) -> None:
        heading, words, seen, self._choices = shown
        self.heading.value = _large(heading, 28)
        self.words.value = _large(words, 20)
        self.image.value = ""
        if seen is not None and seen.film is not None:
            picture = seen.picture()
            self.image.value = image_tag(picture.still(LAB_DPI).png, picture.text)
        self.hands = [self._box(choice) for choice in self._choices]
        self._votes.children = tuple(self.hands)
        self._votes.layout.display = None if self.hands else "none"

    def _box(self, choice: str) -> Any:
        return self._w.BoundedIntText(
            value=0, min=0, max=MOST_HANDS, description=choice, tooltip=f"Hands for: {choice}",
            style={"description_width": "20em"}, layout=self._w.Layout(width="25em"),
        )  # fmt: skip


def _short(words: str) -> str:
    """Leave out from the middle what nobody reads off a wall."""
    parts = words.split("; ")
    return "; ".join([*parts[: MOST_CLAUSES - 1], parts[-1]] if parts[MOST_CLAUSES:] else parts)


def _large(words: str, points: float) -> str:
    look = f"font-size:{points:g}pt;line-height:1.25;margin:.2em .4em"
    return f'<div role="status" aria-live="polite" style="{look}">{html.escape(words)}</div>'
