"""The tables on which a program is played, by name."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from kerfproof.box import Box
from kerfproof.gcode.trace import StartState
from kerfproof.proof.evidence.simulated_table import Fault, Plate, Trouble
from kerfproof.sentence import Phrase, mm, say
from kerfproof.shop.chart import Process
from kerfproof.shop.profile import Machine, TouchOff

ELSEWHERE = (13.0, -7.0, 0.0)
"""How far the work offset that another job used lies from the one zero was set in."""
PARKED = (3.0, 17.0, 24.0, 33.0, 41.0, 55.0)
"""Heights at which a person may have left the torch, one a scenario."""


ZEROS = ((137.0, 89.5), (-211.5, 318.25))
"""Where program zero lies in the machine frame, one place for each table on which all lies elsewhere."""
PARKS = ((61.25, 203.0), (412.0, -77.5))
"""Where the torch was parked there, machine frame: not at program zero, nor at machine zero."""
APART = ((-313.0, 457.75, 0.0), (523.5, -148.0, 0.0))
"""How far the other coordinate systems lie from the one in use there."""
RISE, TILT, BOW = (0.35, -0.35), (0.06, 0.0), (0.03, 0.0)
"""How much higher the plate lies there, how much it rises over the program's extent along each axis, and how much it is
bowed; shares of the plate band."""
MOVES = ((-0.35, 0.0, 0.35, -0.175, 0.175), (-0.5, 0.5, -0.4, 0.2))
"""How much it moves from pierce to pierce, shares of what it may: from one to the next, and to the next but one, by
more than tilt and bow could make good, and by less than the band with them; where it is flat by the whole band."""
LEAST_READ = 0.02
"""A plate a whole band away is told from one beyond it by a guard that sees this, mm."""
STEEPEST = 0.01
"""No sheet is tilted by more than this there, mm per mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """One table for one run: plate, control, what goes wrong, and the state the control was left in."""

    name: Phrase
    plate: Plate
    start: StartState = field(default_factory=StartState)
    back_off: float = 0.0
    trouble: Trouble | None = None
    stale: bool = False
    """Whether the control was left in a state that no program may rely on."""
    nominal_top: float = 0.0
    """Where the plate's top lies on the table as it should be."""
    moved: bool = False
    """Whether zero, torch and plate lie elsewhere, so that XY must follow the one and Z the other."""

    @property
    def follows(self) -> bool:
        """Whether the cut should lie at the same height over the plate as on the table as it should be."""
        return not (self.trouble or self.moved or self.plate.slope_x or self.plate.slope_y)


def plate_top(machine: Machine, process: Process | None = None) -> float:
    """Return the machine height of the nominal plate.

    Where the machine file says where the slats are, the plate of the process lies on them. On another homed machine it
    lies below the top of travel by the highest parking height, or as far as the travel lets the float trip; on others
    machine heights mean nothing.
    """
    if not machine.z_homed:
        return -37.5
    if machine.slat_top is not None:
        return machine.slat_top + (process.thickness if process is not None else 0.0)
    deepest = machine.travel_z - machine.trip_depth - machine.plate_height_band - 2.0
    highest = min(machine.park_height_max - machine.plate_height_band, deepest)
    return -max(machine.travel_height + machine.plate_height_band, highest)


def _parked(machine: Machine, process: Process | None, turn: int) -> float:
    """Return the machine height of a torch parked by hand (or near the top where Z is homed)."""
    if machine.z_homed:
        return -2.0 - turn
    allowed = [height for height in PARKED if height <= machine.park_height_max] or [machine.park_height_max]
    return plate_top(machine, process) + allowed[turn % len(allowed)]


def _start(
    machine: Machine,
    process: Process | None,
    turn: int,
    *,
    rise: float = 0.0,
    stale: float = 0.0,
    worded_centers: bool = False,
) -> StartState:
    """Return the state before the program: fresh, or stale by `stale` mm in Z and wrong in every mode.

    No control can be in all wrong modes at once, so half of them are wrong where `stale` is above 0 (units, distance,
    plane), the others below 0: work offset, compensation, feed mode, and arc centres where words for them exist.
    """
    z = _parked(machine, process, turn) + (0.0 if machine.z_homed else rise)
    if machine.touch_off is TouchOff.NONE:
        offset = (0.0, 0.0, plate_top(machine, process) + rise)  # the operator set Z zero on the plate
        shift = (0.0, 0.0, 0.0)
    else:
        # Unhomed controls wake up with Z zero wherever the torch is.
        offset = (0.0, 0.0, stale)
        shift = (0.0, 0.0, (0.0 if machine.z_homed else z) - stale / 2 if stale else 0.0)
    if not stale:
        return StartState(position=(0.0, 0.0, z), offset=offset, shift=shift, inches=machine.inches)
    if stale < 0:
        return StartState(
            position=(0.0, 0.0, z),
            offset=offset,
            shift=shift,
            elsewhere=ELSEWHERE,
            inches=machine.inches,
            compensation=True,
            inverse_time=True,
            other_centers=worded_centers,
            torch=True,
            motion="G1",
        )
    return StartState(
        position=(0.0, 0.0, z),
        offset=offset,
        shift=shift,
        inches=not machine.inches,
        incremental=True,
        plane=18,
        torch=True,
        motion="G1",
    )


def nominal(machine: Machine, back_off: float, process: Process | None = None) -> Scenario:
    """Return the table as it should be: flat plate, no fault, a control in its power-up state."""
    return Scenario(
        name="the table as it should be",
        plate=Plate(plate_top(machine, process)),
        nominal_top=plate_top(machine, process),
        start=_start(machine, process, 2),
        back_off=back_off,
    )


def stale(
    machine: Machine,
    back_off: float,
    by: float,
    turn: int,
    *,
    worded_centers: bool = False,
    process: Process | None = None,
) -> Scenario:
    """Return the nominal plate under a control left stale: Z frame off by `by`, half of all modes wrong, torch on."""
    return Scenario(
        name=say("a control left in a stale state (Z off by {by})", by=mm(by, "g")),
        plate=Plate(plate_top(machine, process)),
        nominal_top=plate_top(machine, process),
        start=_start(machine, process, turn, stale=by, worded_centers=worded_centers),
        back_off=back_off,
        stale=True,
    )


def ended(table: Scenario, machine: Machine) -> Scenario:
    """Return a stale table whose last program ran to its end, where the end word restored what it restores.

    It selects G54, the XY plane and feed per minute, and switches compensation off; units, offsets and how arc centres
    are read stay (NISTIR 6556, 3.6.1). Absolute distance comes back, too, but a move by hand after it may be relative.
    """
    start = replace(table.start, plane=17, compensation=False, inverse_time=False)
    if machine.work_offset == "G54":
        start = replace(start, elsewhere=(0.0, 0.0, 0.0))
    return replace(table, start=start)


def elsewhere(
    machine: Machine,
    back_off: float,
    turn: int,
    system: str,
    box: Box,
    share: float = 1.0,
    process: Process | None = None,
) -> Scenario:
    """Return a table on which all lies elsewhere that no program may rely on: torch, zero and plate.

    Zero is set in the coordinate system `system`, or by G92 where the machine's zero lives there, and the others lie
    elsewhere; the torch is parked at neither. The plate is tilted, bowed, and moves from pierce to pierce, by `share`
    of what the machine file allows. `box` is where the program moves, program coordinates. On a machine without
    touch-off the plate is flat and lies still, and the operator's Z zero lies on it.
    """
    (x, y), park = ZEROS[turn], PARKS[turn]
    band, finds = share * machine.plate_height_band, machine.touch_off is not TouchOff.NONE
    top = plate_top(machine, process) + RISE[turn] * band
    if machine.z_homed and finds and RISE[turn] > 0 and machine.slat_top is None:
        # A thick plate, or one on blocks: raised travel must clear it.
        top = max(top, -machine.travel_height - 1.5 * machine.plate_height_band)
    plate = Plate(top)
    if finds:
        width = (max(box[2] - box[0], 1.0), max(box[3] - box[1], 1.0))
        middle = (x + (box[0] + box[2]) / 2, y + (box[1] + box[3]) / 2)
        along, across = (min(TILT[turn] * band / w, STEEPEST, key=abs) for w in width)
        bow = min(BOW[turn] * band, STEEPEST * min(width) / 4)
        # The program knows where the fast touch read the last plate, and reads the next one as late.
        reads = abs(machine.read_late(machine.touch_fast_mm_min)) + LEAST_READ
        moves = tuple(move * share * max(machine.plate_height_band - reads, 0.0) for move in MOVES[turn])
        level = top - along * middle[0] - across * middle[1]
        plate = Plate(level, along, across, bow, middle, width, moves)
    z = _parked(machine, process, 1 + 2 * turn)
    if not machine.z_homed:
        z = plate_top(machine, process) + (min(*PARKED, machine.park_height_max), machine.park_height_max)[turn]
        z += plate.top_at(*park) - plate_top(machine, process)
    own = (x, y, 0.0) if finds else (x, y, top)
    in_shift = machine.xy_zero_in_g92
    return Scenario(
        name="a table with zero, torch and plate elsewhere",
        plate=plate,
        nominal_top=plate_top(machine, process),
        start=StartState(
            position=(*park, z),
            offset=(0.0, 0.0, own[2]) if in_shift else own,
            shift=(x, y, 0.0) if in_shift else (0.0, 0.0, 0.0),
            inches=machine.inches,
            system=system,
            apart=APART[turn],
        ),
        back_off=back_off,
        moved=True,
    )


def backing_off(machine: Machine, back_off: float, process: Process | None = None) -> Scenario:
    """Return the nominal plate under a control that moves back up by `back_off` after each trip."""
    return Scenario(
        name=say("a control that backs off {back_off} after a trip", back_off=mm(back_off, "g")),
        plate=Plate(plate_top(machine, process)),
        nominal_top=plate_top(machine, process),
        start=_start(machine, process, 2),
        back_off=back_off,
    )


OUT_OF_BAND = 1.5
"""So far out of the plate band (mm) lies what a touch-off must not take for the plate."""


def troubled(machine: Machine, back_off: float, fault: Fault, pierce: int, process: Process | None = None) -> Scenario:
    """Return the nominal table with one fault that begins at a pierce (from 1)."""
    size = machine.plate_height_band + OUT_OF_BAND
    return Scenario(
        name=f"{fault} at pierce {pierce}",
        plate=Plate(plate_top(machine, process)),
        nominal_top=plate_top(machine, process),
        start=_start(machine, process, 2),
        back_off=back_off,
        trouble=Trouble(fault, pierce, size),
    )
