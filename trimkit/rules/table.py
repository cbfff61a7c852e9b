"""The contest table: its lines, its words, and how many motors to make."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Any, Literal, get_args

from trimkit.rules.card import Motor, MotorPlan, Rules

State = Literal["pass", "fail", "measure again", "look"]
STATES: tuple[State, ...] = get_args(State)


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the contest table.

    Parameters
    ----------
    group : str
        Such as "aeroplane" or "papers" [-].
    what : str
        What is judged [-].
    rule : str
        What the card says [-].
    ours : str
        What we have, "" for what a person must look at [-].
    state : str
        "pass", "fail", "measure again" or "look" [-].
    do : str
        What to do about it, "" for nothing [-].
    """

    group: str
    what: str
    rule: str
    ours: str
    state: State
    do: str = ""

    def words(self) -> str:
        """Say it in one line.

        Returns
        -------
        str
            With its state in words, and a box where a person must look [-].
        """
        if self.state == "look":
            return f"[ ] {self.what}" + (f". {self.do}" if self.do else "")
        told = f"{self.what}: {self.ours}; the card says {self.rule}"
        return f"{told}. {self.do}" if self.do else f"{told}."


@dataclass(frozen=True, slots=True)
class Stock:
    """How many motors to make.

    Parameters
    ----------
    plan : MotorPlan
        What it is for [-].
    make : int
        Motors to make [-].
    chance : float
        Chance that enough survive then [-].
    """

    plan: MotorPlan
    make: int
    chance: float

    def words(self) -> str:
        """Say the number, and what was assumed.

        Returns
        -------
        str
            Two or three sentences [-].
        """
        plan = self.plan
        told = (
            f"Make {self.make} motors: then at least {plan.must_survive} are whole after "
            f"{_times(plan.winds_each)} each, with {self.chance:.0%} chance. Assumed: one winding "
            f"in {_one_in(plan.break_chance)} breaks a motor; count your own and change "
            "break_chance on the card."
        )
        if self.make > plan.may_bring:
            told += (
                f" The card lets you hand in {plan.may_bring}: keep {self.make - plan.may_bring} "
                "for practice."
            )
        return told


@dataclass(frozen=True, slots=True)
class Contest:
    """The contest table.

    Parameters
    ----------
    rules : Rules
        The card [-].
    aeroplane : str
        Name of the aeroplane [-].
    items : tuple of Item
        The lines, in the order of the card [-].
    stock : Stock or None
        Motors to make, None when the card is silent [-].
    motors : tuple of Motor
        The motors that were handed over [-].
    """

    rules: Rules
    aeroplane: str
    items: tuple[Item, ...]
    stock: Stock | None = None
    motors: tuple[Motor, ...] = ()

    def of(self, state: State) -> tuple[Item, ...]:
        """Pick the lines of one state.

        Parameters
        ----------
        state : str
            "pass", "fail", "measure again" or "look" [-].

        Returns
        -------
        tuple of Item
            In the order of the card [-].
        """
        return tuple(item for item in self.items if item.state == state)

    @property
    def ready(self) -> bool:
        """Whether nothing fails and nothing is left to measure [-]."""
        return not self.of("fail") and not self.of("measure again")

    def words(self) -> str:
        """Say the whole table.

        Returns
        -------
        str
            Lines under four heads, what fails first [-].
        """
        lines = [f"{self.aeroplane} against the card {self.rules.name!r}."]
        lines += [INVENTED] if self.rules.invented else []
        heads: tuple[tuple[State, str], ...] = (
            ("fail", "FAILS"),
            ("measure again", "MEASURE AGAIN (never measured, or too close to call)"),
            ("pass", "PASSES"),
            ("look", "A PERSON MUST LOOK"),
        )
        for state, head in heads:
            found = self.of(state)
            lines += ["", f"{head}: {len(found) or 'nothing'}"]
            lines += [f"  {item.words()}" for item in found]
        lines += ["", f"Motors. {self.stock.words()}"] if self.stock else []
        return "\n".join(lines)

    def as_data(self) -> dict[str, Any]:
        """Give the same as plain data.

        Returns
        -------
        dict
            Card, items, number of motors [-].
        """
        stock = self.stock
        return {
            "card": self.rules.name,
            "invented": self.rules.invented,
            "aeroplane": self.aeroplane,
            "ready": self.ready,
            "items": [dataclasses.asdict(item) for item in self.items],
            "make_motors": stock.make if stock else None,
            "chance": round(stock.chance, 4) if stock else None,
        }


INVENTED = (
    "The card is an invented example. A coach writes the real rules of the year into it and sets "
    "invented = false."
)


def _times(number: int) -> str:
    return "one winding" if number == 1 else f"{number} windings"


def _one_in(chance: float) -> str:
    return f"{1 / chance:.0f}" if chance > 0 else "infinitely many"
