"""Motors that may have changed places: counts of winds and torques that do not go together."""

from __future__ import annotations

from dataclasses import dataclass

from trimkit.logbook.record import FlightRow, Logbook

FAR_APART = 0.15  # torque at the same turns; a motor of one's own repeats within 5 to 10 %, assumed


@dataclass(frozen=True, slots=True)
class Swap:
    """A flight whose motor is in doubt.

    Parameters
    ----------
    flight : FlightRow
        The flight [-].
    why : str
        What does not go together, and what to do [-].
    """

    flight: FlightRow
    why: str

    def words(self) -> str:
        """Say it.

        Returns
        -------
        str
            One line [-].
        """
        return f"line {self.flight.line}, {self.flight.date}: {self.why}"


def swaps(logbook: Logbook) -> tuple[Swap, ...]:
    """Find flights whose motor is in doubt.

    The winds of a motor rise by one with each flight; at the same turns its launch torque stays
    the same within 15 %.

    Parameters
    ----------
    logbook : Logbook
        The logbook [-].

    Returns
    -------
    tuple of Swap
        In the order of the flights [-].
    """
    winds: dict[str, int] = {}
    torques: dict[tuple[str, int, int], float] = {}
    found = []
    for flight in sorted(logbook.flights, key=lambda one: one.date):
        if not flight.motor:
            continue
        why = _by_winds(flight, winds) or _by_torque(flight, torques)
        if why:
            found.append(Swap(flight, why))
            continue
        if flight.winds:
            winds[flight.motor] = flight.winds
        if flight.launch_torque_mNm and flight.turns:
            key = (flight.motor, flight.turns, flight.backed_off)
            torques.setdefault(key, flight.launch_torque_mNm)
    return tuple(found)


def _by_winds(flight: FlightRow, winds: dict[str, int]) -> str:
    before = winds.get(flight.motor)
    if flight.winds is None or before is None or flight.winds > before:
        return ""
    others = [one for one, count in winds.items() if one != flight.motor]
    fits = [one for one in others if winds[one] + 1 == flight.winds]
    hint = f"; motor {' or '.join(fits)} would fit" if fits else ""
    return (
        f"motor {flight.motor} is at {flight.winds} winds, and was at {before} before{hint}. Was "
        "the motor swapped? Look at the bag"
    )


def _by_torque(flight: FlightRow, torques: dict[tuple[str, int, int], float]) -> str:
    if not (flight.launch_torque_mNm and flight.turns):
        return ""
    turns, back = flight.turns, flight.backed_off
    before = torques.get((flight.motor, turns, back))
    given = flight.launch_torque_mNm
    if before is None or abs(given / before - 1) <= FAR_APART:
        return ""
    fits = [
        motor
        for (motor, *rest), torque in torques.items()
        if rest == [turns, back] and motor != flight.motor and abs(given / torque - 1) < 0.05
    ]
    hint = f"; motor {' or '.join(fits)} gave as much" if fits else ""
    return (
        f"motor {flight.motor} gave {given:g} mN m at the launch, and {before:g} before with the "
        f"same turns{hint}. Was the motor swapped, or the meter read wrong? Look at the bag"
    )
