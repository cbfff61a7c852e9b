"""The clinic: a case on one page, with a tap for everything that can be done to it.

Looking, measuring, changing and flying, repairing and saying what it is, each has a section.
Before a flight there are three taps: what may be wrong, what will come, how sure. What was seen
is said in words and drawn; the log stands below with the minutes used. There is no way back:
in a hall there is none either. Nothing flies unless it is asked for.
"""

from __future__ import annotations

import html
from collections.abc import Callable, Sequence
from typing import Any

from IPython.display import display

from trimkit.faults import CATALOGUE, PLACES
from trimkit.labs.bench import LAB_DPI, image_tag, widgets_work, wrapped
from trimkit.lesson.case import (
    AGAINST_BEFORE,
    FAMILIES,
    LOOK_MINUTES,
    OF_ITSELF,
    PREDICTIONS,
    Case,
    Seen,
    table_html,
)
from trimkit.lesson.referee import TOOLS, Refused
from trimkit.lesson.session import say
from trimkit.log import CANNOT_TELL, CERTAINTY, MOVED, TURNS
from trimkit.settings import SETTINGS, Adjustment

NOTHING = "nothing"
START_SHARE = 0.5  # of the most turns, on the box before the first flight; assumed
WORKING = "Wait a moment: it is being done in the hall."
SECTIONS = ("Look", "Measure", "Change and fly", "Repair", "Say what it is", "Log")
BY_CODE = (
    'case.look("tail")',
    'case.measure("ruler")',
    'case.fly(750, "nose", "dives", "guess")',
    'case.change("nose", "longer", "leaning", shim_mm=0.4)',
    'case.repair("loose-tail", "longer", "fairly sure")',
    'case.say("loose-tail", "fairly sure")',
)


def clinic(case: Case) -> None:
    """Open the clinic in the notebook, or say the case in words where nobody can tap.

    Parameters
    ----------
    case : Case
        From `lesson.case` [-].
    """
    if widgets_work():
        display(Clinic(case).form)
        return
    rows = [" | ".join(row) for row in case.table()]
    say(repr(case), rows, strong="The clinic")
    say("What can be done, in code:", list(BY_CODE))


class Clinic:
    """The form of a case: sections to tap, words and a picture, and the log.

    Parameters
    ----------
    case : Case
        The case; it goes on where its log ends [-].

    Attributes
    ----------
    form : ipywidgets.VBox
        Everything, ready to be shown [-].
    looks, tools : dict of str to Button
        One button for each place and each tool [-].
    turns, settings, amounts : widgets
        Turns on, the settings to change, and by how much [-].
    hypothesis, prediction, certainty : ToggleButtons
        The three taps [-].
    fly, mend, tell, cannot_tell, card, hint : Button
        What starts something [-].
    status, image, log : HTML
        What was seen, its picture, and the log [-].
    """

    def __init__(self, case: Case) -> None:
        import ipywidgets  # here, so that the words work where it is not installed

        self._w = ipywidgets
        self._case = case
        case.go_on()
        self._make_taps()
        self._make_buttons()
        self.status, self.image, self.log = (ipywidgets.HTML() for _ in range(3))
        self.sections = ipywidgets.Tab(children=self._pages())
        for place, name in enumerate(SECTIONS):
            self.sections.set_title(place, name)
        self.used = ipywidgets.HTML()
        top = ipywidgets.HBox([self.used, self.card, self.hint], layout=wrapped(ipywidgets))
        self.form = ipywidgets.VBox([top, self.sections, self.status, self.image])
        self.form.add_class("trimkit-clinic")
        self._say(repr(case))
        self._refresh()

    # --- the parts ---

    def _make_taps(self) -> None:
        self.hypothesis = self._choice("What may be wrong?", FAMILIES, list(FAMILIES.values()))
        self.prediction = self._choice("What will come?", PREDICTIONS, _what_it_means())
        self.certainty = self._choice("How sure?", CERTAINTY, _in_a_hundred())

    def _choice(self, question: str, names: Any, tips: Sequence[str]) -> Any:
        return self._w.ToggleButtons(
            options=list(names),
            value=None,
            description=question,
            tooltips=list(tips),
            style={"description_width": "11em", "button_width": "auto"},
        )

    def _make_buttons(self) -> None:
        self.card = self._button("Read the card (0 min)", self._read_card)
        self.hint = self._button("Hint (1 to 3 min)", self._take_hint)
        self.fly = self._button("Fly", self._fly, "success")
        self.mend = self._button("Repair it and fly", self._repair, "success")
        self.tell = self._button("Say it", self._tell, "success")
        self.cannot_tell = self._button("Cannot tell yet", self._cannot_tell)
        self.looks = {
            place: self._button(f"{place} ({LOOK_MINUTES:g} min)", _with(self._look, place))
            for place in PLACES
        }
        self.tools = {tool: self._button(tool, _with(self._measure, tool)) for tool in TOOLS}
        for place, button in self.looks.items():
            button.tooltip = f"Look at {PLACES[place]}"
        for tool, button in self.tools.items():
            button.tooltip = f"Measure with: {tool}"

    def _button(self, name: str, do: Callable[[], None], style: str = "") -> Any:
        wide = self._w.Layout(width="auto")
        made = self._w.Button(description=name, layout=wide, button_style=style, tooltip=name)
        made.on_click(lambda _: self._guarded(do))
        return made

    def _pages(self) -> list[Any]:
        self.faults = [self._picker() for _ in range(self._case.faults)]
        self.broken = self._picker()
        return [
            self._page("A look costs 2 minutes. An eye names what is loose, torn or bent; angles, "
                       "lengths and masses need a tool.",
                       [self._rows(self.looks)]),
            self._page("Each reading is a little off. What the card says stands beside it.",
                       [self._rows(self.tools)]),
            self._page("Nothing changed is a test too: it shows how flights differ by chance.",
                       [*self._settings(), self.hypothesis, self.prediction, self.certainty,
                        self.fly]),
            self._page("A repair costs its minutes, and helps only where something was wrong. "
                       "Then it flies with the turns of the last flight.",
                       [self.broken[2], self.prediction, self.certainty, self.mend]),
            self._page("You may say it again later. The last word counts. Where two things are "
                       "wrong and you know only one, choose it in both lines.",
                       [*(one[2] for one in self.faults), self.certainty,
                        self._w.HBox([self.tell, self.cannot_tell])]),
            self._page("Everything that was done, in order.", [self.log]),
        ]  # fmt: skip

    def _page(self, words: str, children: Sequence[Any]) -> Any:
        return self._w.VBox([self._w.HTML(f"<p>{html.escape(words)}</p>"), *children])

    def _rows(self, buttons: dict[str, Any]) -> Any:
        return self._w.HBox(list(buttons.values()), layout=wrapped(self._w))

    def _settings(self) -> list[Any]:
        """Turns, and two settings: one would be wise, two are possible."""
        wide = {"description_width": "11em"}
        start = self._case.turns or round(START_SHARE * self._case.most_turns, -1)
        self.turns = self._w.BoundedIntText(
            value=int(start), min=1, max=self._case.most_turns, step=10,
            description="Turns on", style=wide, tooltip=SETTINGS[TURNS].caution,
        )  # fmt: skip
        self.settings, self.amounts, rows = [], [], []
        options = [(NOTHING, NOTHING), *((_titled(one), name) for name, one in _settings().items())]
        for question in ("Change", "and also"):
            which = self._w.Dropdown(options=options, description=question, style=wide)
            amount = self._w.FloatText(
                value=0.0, description="by", style={"description_width": "3em"},
                layout=self._w.Layout(width="10em"), tooltip="How much, up or down",
            )  # fmt: skip
            meaning = self._w.HTML()
            which.observe(_with(self._chosen, which, amount, meaning), "value")
            self.settings.append(which)
            self.amounts.append(amount)
            rows.append(self._w.HBox([which, amount, meaning], layout=wrapped(self._w)))
        return [self.turns, *rows]

    def _chosen(self, which: Any, amount: Any, meaning: Any) -> None:
        known = SETTINGS.get(which.value)
        amount.value = known.step if known else 0.0
        amount.step = known.step if known else 0.1
        said = f"+ is: {known.more}. − is: {known.less}. {known.minutes:g} min." if known else ""
        meaning.value = html.escape(said)

    def _picker(self) -> tuple[Any, Any, Any]:
        """A place, and what may be wrong there."""
        wide = {"description_width": "11em"}
        place = self._w.Dropdown(options=list(PLACES), description="Place", style=wide)
        fault = self._w.Dropdown(options=_at(next(iter(PLACES))), description="Fault", style=wide)
        tip = self._w.HTML()

        def moved(_: Any) -> None:
            fault.options = _at(place.value)

        def told(_: Any) -> None:
            known = CATALOGUE.get(fault.value or "")
            tip.value = html.escape(f"{known.cure} {known.minutes:g} min." if known else "")

        place.observe(moved, "value")
        fault.observe(told, "value")
        told(None)
        return (
            place,
            fault,
            self._w.VBox([self._w.HBox([place, fault], layout=wrapped(self._w)), tip]),
        )

    # --- what a tap does ---

    def _guarded(self, do: Callable[[], None]) -> None:
        self._say(WORKING)
        try:
            do()
        except Refused as problem:
            self._say(problem.sentence())
        self._refresh()

    def _look(self, place: str) -> None:
        self._case.go_on()
        self._show(self._case.look(place))

    def _measure(self, tool: str) -> None:
        self._case.go_on()
        first = None if self._case.turns else float(self.turns.value)
        self._show(self._case.measure(tool, turns=first))

    def _fly(self) -> None:
        self._case.go_on()
        moved = self._amounts()
        turns = float(self.turns.value)
        taps = self._taps(self.hypothesis, self.prediction, self.certainty)
        if moved or self._case.turns not in (None, turns):
            idea, expected, sure = taps
            seen = self._case.change(
                hypothesis=idea, prediction=expected, certainty=sure, turns=turns, **moved
            )
            self._flown(seen)
        else:
            self._flown(self._case.fly(turns, *taps))

    def _repair(self) -> None:
        self._case.go_on()
        first = None if self._case.turns else float(self.turns.value)
        expected, sure = self._taps(self.prediction, self.certainty)
        self._flown(self._case.repair(self.broken[1].value, expected, sure, turns=first))

    def _tell(self) -> None:
        self._case.go_on()
        names = list(dict.fromkeys(one[1].value for one in self.faults))
        self._show(self._case.say(names, *self._taps(self.certainty)))
        self.certainty.value = None

    def _cannot_tell(self) -> None:
        self._case.go_on()
        self._show(self._case.say(CANNOT_TELL, self.certainty.value or ""))
        self.certainty.value = None

    def _read_card(self) -> None:
        self._say(repr(self._case.card()))

    def _take_hint(self) -> None:
        self._say(repr(self._case.hint()))

    def _amounts(self) -> dict[str, float]:
        moved: dict[str, float] = {}
        for which, amount in zip(self.settings, self.amounts, strict=True):
            if which.value == NOTHING:
                continue
            if which.value in moved:
                raise Refused("The same setting is chosen twice: put both amounts into one.")
            if not amount.value:
                raise Refused(f"By how much shall the {SETTINGS[which.value].title} move?")
            moved[which.value] = float(amount.value)
        return moved

    def _taps(self, *rows: Any) -> list[str]:
        missing = [row.description for row in rows if row.value is None]
        if missing:
            raise Refused(f"Tap one for each first: {' '.join(missing)}")
        return [row.value for row in rows]

    def _flown(self, seen: Seen) -> None:
        self._show(seen)
        for row in (self.hypothesis, self.prediction, self.certainty):
            row.value = None
        for which in self.settings:
            which.value = NOTHING

    def _show(self, seen: Seen) -> None:
        self._say(seen.text)
        if seen.film is not None:
            picture = seen.picture()
            self.image.value = image_tag(picture.still(LAB_DPI).png, picture.text)
        elif seen.entry.is_flight:
            self.image.value = ""

    def _say(self, words: str) -> None:
        look = "max-width:60em;padding:.3em .8em;border-left:4px solid currentColor;line-height:1.4"
        safe = html.escape(words).replace("\n", "<br>")
        self.status.value = f'<div role="status" aria-live="polite" style="{look}">{safe}</div>'

    def _refresh(self) -> None:
        kept = self._case.log
        count = len(kept.flights)
        self.used.value = f"<strong>{self._case.minutes:.0f} min used, flights: {count}</strong>"
        rows = self._case.table()
        self.log.value = table_html(rows) if rows else "<p>Nothing done yet.</p>"
        if not count:
            self.prediction.options = list(OF_ITSELF)
        elif len(self.prediction.options) == len(OF_ITSELF):
            self.prediction.options = list(PREDICTIONS)
            self.prediction.value = None


def _with(do: Callable[..., None], *given: Any) -> Callable[..., None]:
    return lambda *_: do(*given)


def _settings() -> dict[str, Adjustment]:
    return {name: SETTINGS[name] for name in MOVED}


def _titled(one: Adjustment) -> str:
    return f"{one.title} ({one.unit})"


def _at(place: str) -> list[tuple[str, str]]:
    return [(fault.title, name) for name, fault in CATALOGUE.items() if fault.place == place]


def _what_it_means() -> list[str]:
    compared = [f"{word}: in time, against the flight before" for word in AGAINST_BEFORE]
    return [*compared, *(f"this flight {word}" for word in OF_ITSELF)]


def _in_a_hundred() -> list[str]:
    return [f"{word}: right {100 * chance:.0f} times in 100" for word, chance in CERTAINTY.items()]
