"""The lab of ruler and shim: four heights above the table, a shim, and the angles they make."""

from __future__ import annotations

from dataclasses import dataclass

from trimkit import figures, incidence
from trimkit.aeroplane import Aeroplane
from trimkit.figures import Edges
from trimkit.labs.bench import LAB_DPI, Lab, Read, Reading, Slider, Values, open_lab

TABLE_TO_STICK_MM = 20.0  # assumed: the stick lies level on two blocks
MOVE_MM, SHIM_MOVE_MM = 12.0, 3.0  # how far sliders go either way from the design setting
TITLE = "Ruler and shim"


@dataclass(frozen=True, slots=True)
class Bench:
    """An aeroplane on its two blocks, ready for the ruler.

    Parameters
    ----------
    wing, tail : Edges
        Readings at the design setting, the tail's without its shim [-].
    shim_mm : float
        Shim at the design setting [mm].
    socket_mm : float
        Length over which the shim tilts the tail [mm].
    """

    wing: Edges
    tail: Edges
    shim_mm: float
    socket_mm: float


# invented: a wing at 4 degrees and a tailplane at 3, as on a docile trainer
PLAIN_BENCH = Bench(Edges(58.0, 51.0, 100.0), Edges(24.0, 20.0, 75.0), 0.0, 45.0)


def ruler_and_shim(aeroplane: Aeroplane | None = None) -> None:
    """Open the lab: set four heights and a shim, read the angles and the decalage.

    Parameters
    ----------
    aeroplane : Aeroplane or None
        Whose chords, angles and socket to use, None for a plain invented trainer [-].
    """
    open_lab(TITLE, lambda: _parts(aeroplane))


def lab(aeroplane: Aeroplane | None = None) -> Lab:
    """Make the lab without showing it.

    Parameters
    ----------
    aeroplane : Aeroplane or None
        Whose figures to use, None for a plain invented trainer [-].

    Returns
    -------
    Lab
        The lab; its `form` can be put into other widgets [-].
    """
    return Lab(TITLE, *_parts(aeroplane))


def _parts(aeroplane: Aeroplane | None) -> tuple[list[Slider], Read]:
    bench = on_blocks(aeroplane) if aeroplane else PLAIN_BENCH
    return _sliders(bench), _reader(bench)


def on_blocks(aeroplane: Aeroplane) -> Bench:
    """Say what a ruler reads when the stick lies level, 20 mm above the table.

    Parameters
    ----------
    aeroplane : Aeroplane
        Any aeroplane [-].

    Returns
    -------
    Bench
        The readings, to half a millimetre as on a ruler [-].
    """
    wing, tail = aeroplane.build.wing, aeroplane.build.tail
    return Bench(
        _edges(wing.height_mm, wing.root_chord_mm, wing.incidence_deg),
        _edges(tail.height_mm, tail.chord_mm, tail.incidence_deg),
        aeroplane.setting.shim_mm,
        tail.socket_mm,
    )


def _edges(height_mm: float, chord_mm: float, angle_deg: float) -> Edges:
    """The chord's middle lies at its height above the stick; never below the table."""
    rise = incidence.leading_edge_mm(angle_deg, 0.0, chord_mm)
    trailing = max(TABLE_TO_STICK_MM + height_mm - rise / 2, -min(rise, 0.0), 0.0)
    return Edges(round(2 * (trailing + rise)) / 2, round(2 * trailing) / 2, chord_mm)


def _sliders(bench: Bench) -> list[Slider]:
    edges = (
        ("wing_leading_mm", "Wing, leading edge", bench.wing.leading_mm, "Up turns the wing up."),
        ("wing_trailing_mm", "Wing, trailing edge", bench.wing.trailing_mm, "Up turns it down."),
        ("tail_leading_mm", "Tail, leading edge", bench.tail.leading_mm, "Up turns the tail up."),
        ("tail_trailing_mm", "Tail, trailing edge", bench.tail.trailing_mm, "Up turns it down."),
    )
    shim = Slider(
        name="shim_mm",
        label="Shim, + lifts tail",
        unit="mm",
        low=bench.shim_mm - SHIM_MOVE_MM,
        high=bench.shim_mm + SHIM_MOVE_MM,
        step=0.1,
        start=bench.shim_mm,
        meaning="More lifts the tail's trailing edge, so the decalage grows.",
    )
    return [*(_edge_slider(*edge) for edge in edges), shim]


def _edge_slider(name: str, label: str, start_mm: float, meaning: str) -> Slider:
    return Slider(
        name=name,
        label=label,
        unit="mm",
        low=max(0.0, start_mm - MOVE_MM),
        high=min(start_mm + MOVE_MM, figures.TALLEST_MM),
        step=0.5,
        start=start_mm,
        meaning=f"Height above the table. {meaning}",
    )


def _reader(bench: Bench) -> Read:
    wing, tail, socket = bench.wing.chord_mm, bench.tail.chord_mm, bench.socket_mm
    highest = max(bench.wing.leading_mm, bench.wing.trailing_mm, bench.tail.leading_mm)
    stage = figures.bench_stage(wing, tail, socket, highest + MOVE_MM, LAB_DPI)

    def read(values: Values) -> Reading:
        front = Edges(values["wing_leading_mm"], values["wing_trailing_mm"], wing)
        back = Edges(values["tail_leading_mm"], values["tail_trailing_mm"], tail)
        shim = values["shim_mm"]
        return Reading(stage(front, back, shim), _words(front, back, shim, socket))

    return read


def _words(wing: Edges, tail: Edges, shim_mm: float, socket_mm: float) -> str:
    turned = incidence.angle_for_shim_deg(shim_mm, socket_mm)
    before = wing.angle_deg - tail.angle_deg
    words = (
        f"Wing {figures.signed(wing.angle_deg)}°, tail {figures.signed(tail.angle_deg - turned)}°. "
        f"Decalage, wing minus tail: {figures.signed(before + turned)}°."
    )
    if not shim_mm:
        return f"{words} No shim."
    verb = "adds" if turned > 0 else "takes away"
    return (
        f"{words}\nThe shim of {figures.signed(shim_mm)} mm in a socket of {socket_mm:g} mm {verb} "
        f"{abs(turned):.1f}°; without it the decalage is {figures.signed(before)}°."
    )
