"""The sections of a machine file: each key with its kind, its bounds and what it means."""

from __future__ import annotations

from functools import partial
from typing import Annotated

from pydantic import Field

from kerfproof.shop.file_model import FileModel, key
from kerfproof.shop.profile import Machine, StartKind, TouchOff
from kerfproof.shop.spelling import (
    Acceleration,
    Current,
    Feed,
    Length,
    LengthOr,
    MaybeAcceleration,
    MaybeFlow,
    MaybeLength,
    MaybePressure,
    MaybeVolume,
    Percent,
    Time,
    Words,
)

Lines = Annotated[tuple[str, ...], Field(strict=False)]
_is = partial(key, Machine)


class TableSection(FileModel):
    """The table."""

    travel_x: Length = _is("travel_x", "Travel in X.", example="48 in", gt=0)
    travel_y: Length = _is("travel_y", "Travel in Y.", example="48 in", gt=0)
    rapid_mm_min: Feed = _is("rapid_mm_min", "Rapid speed of X and Y.", alias="rapid", example="300 in/min", gt=0)
    acceleration_mm_s2: Acceleration = _is(
        "acceleration_mm_s2", "Acceleration of X and Y.", alias="acceleration", example="400 mm/s2", gt=0
    )
    slat_pitch: Length = _is("slat_pitch", "Distance between slats; 0 if you don't know.", ge=0)
    slat_offset: Length = _is("slat_offset", "X of the first slat.")
    square_note: str = _is("square_note", "When and how squareness and scale of the axes were measured.")


class ZSection(FileModel):
    """The torch axis."""

    travel_z: Length = _is("travel_z", "Travel in Z.", alias="travel", example="4 in", gt=0)
    z_rapid_mm_min: Feed = _is("z_rapid_mm_min", "Rapid speed of Z.", alias="rapid", example="80 in/min", gt=0)
    z_acceleration_mm_s2: Acceleration = _is(
        "z_acceleration_mm_s2", "Acceleration of Z.", alias="acceleration", example="300 mm/s2", gt=0
    )
    z_homed: bool = _is(
        "z_homed",
        "true if the control finds the top of Z by homing; false if you park the torch raised by hand before start.",
        alias="homed",
        example=False,
    )
    park_height_max: Length = _is(
        "park_height_max", "The highest the tip may stand over the plate when a program starts.", gt=0
    )
    travel_height: Length = _is("travel_height", "Height of the tip over the plate between cuts, at most.", gt=0)
    hop: bool = _is(
        "hop",
        "true to go up only as far as pieces that came free on the way and the plate band ask, which saves a second or "
        "more a start; false to go up to travel_height every time.",
    )
    plate_height_band: Length = _is(
        "plate_height_band", "How far the plate may lie above or below the last touch-off. Small is safe.", gt=0
    )
    slat_top: MaybeLength = _is(
        "slat_top",
        "Machine Z of the top of the slats, where Z is homed and plates lie on the slats: the search then begins 10 mm "
        "over the plate. Touch a slat by hand, read machine Z, measure again when slats are changed.",
        example="-110 mm",
    )
    end_clears_datum: bool = _is("end_clears_datum", "Whether the program clears the Z datum at its end.")


class ControlSection(FileModel):
    """The motion control and the programs written for it."""

    dialect: str = _is("dialect", "Name of the control's dialect.", example="ngc", min_length=1)
    inches: Annotated[bool, Words({"inch": True, "mm": False})] = _is(
        "inches", 'Units of programs: "inch" or "mm".', alias="units", example="inch"
    )
    arc_centers_absolute: Annotated[bool | None, Words({"absolute": True, "incremental": False})] = _is(
        "arc_centers_absolute",
        'Arc centres: "absolute" or "incremental". Without this key as the dialect has it.',
        alias="arc_centers",
        example="incremental",
    )
    dwell_in_ms: Annotated[bool | None, Words({"milliseconds": True, "seconds": False})] = _is(
        "dwell_in_ms",
        'Unit of dwells: "seconds" or "milliseconds". Without this key as the dialect has it.',
        alias="dwell_unit",
        example="seconds",
    )
    path_tolerance: Annotated[float | None, LengthOr("exact")] = _is(
        "path_tolerance",
        'How far the control may round a corner, or "exact" for exact path mode. In exact path mode some controls all '
        "but stop at every joint of lines and arcs, and the arc leaves a divot there.",
    )
    lookahead_blocks: int = _is("lookahead_blocks", "How many moves the control looks ahead.", ge=1)
    work_offset: str = _is("work_offset", "Work offset that programs select.", pattern=r"^G5[4-9](\.[1-3])?$")
    end_word: str | None = _is(
        "end_word", "Word that ends a program. Without this key as the dialect has it.", example="M30"
    )
    xy_zero_in_g92: bool = _is(
        "xy_zero_in_g92", "true if you set X and Y zero by G92; then no word may clear all axes."
    )
    header_lines: Lines = _is("header_lines", "Lines written after the modes at the top.", alias="header")
    footer_lines: Lines = _is("footer_lines", "Lines written before the end word.", alias="footer")
    extension: str = _is("extension", "File name extension of programs.", pattern=r"^\.[A-Za-z0-9]{1,8}$")
    tip_stops: bool | None = _is(
        "tip_stops",
        "Whether an optional stop stands before every light-up. Without this key only where the control can't "
        "stop a program whose touch-off missed.",
        alias="optional_stops",
        example=True,
    )


class TorchSection(FileModel):
    """The torch and its power source."""

    start: Annotated[StartKind, Words.of(StartKind)] = _is(
        "start", '"contact": the tip must touch the plate to light. "pilot": a pilot arc, the tip must not touch.',
        example="contact",
    )  # fmt: skip
    chart: str = _is(
        "chart", "Cut chart of this torch, taken where none is named; empty: your default.", example="air-50a-pilot"
    )
    torch_on: str = _is("torch_on", "Line that lights the torch.", alias="on", min_length=1)
    torch_on_speed: float | None = _is(
        "torch_on_speed", "S word that the output needs.", alias="on_speed", example=1000, ge=0
    )
    torch_on_delay_s: Time = _is(
        "torch_on_delay_s", "Delay that the control itself adds to the on word.", alias="on_delay", ge=0
    )
    torch_off: str = _is("torch_off", "Line that puts the torch out.", alias="off", min_length=1)
    arc_wait: str = _is(
        "arc_wait", "Line that waits for arc transfer and stops the program without it; empty: wait by time."
    )
    light_delay_s: Time = _is(
        "light_delay_s",
        "Trigger to arc: relay, gas preflow, ignition. Measure the longest one, from cold.",
        alias="light_delay",
        ge=0,
    )
    arc_out_s: Time = _is("arc_out_s", "Off word to arc out, standing still.", alias="arc_out", ge=0)
    min_off_time_s: Time = _is(
        "min_off_time_s", "Shortest time between off and the next on.", alias="min_off_time", ge=0
    )
    rise_feed_mm_min: Feed = _is(
        "rise_feed_mm_min", "Feed of the rise from light-up to pierce and cut height.", alias="rise_feed", gt=0
    )
    preload: Length = _is(
        "preload",
        "How far below first contact the seated tip is held at light-up. 0 on a fixed head.",
        ge=0,
    )
    tip_face_radius: Length = _is("tip_face_radius", "Radius of the face of the tip.", gt=0)
    swirl_clockwise: Annotated[bool, Words({"clockwise": True, "counter-clockwise": False})] = _is(
        "swirl_clockwise",
        'Swirl of the gas; "clockwise" leaves the square edge on the right of travel.',
        alias="swirl",
    )
    max_amps: Current = _is("max_amps", "The most that torch and mains supply give together.", gt=0)
    duty_percent: Percent = _is(
        "duty_percent", "Rated torch-on share of ten minutes at duty_amps.", alias="duty", gt=0, le=100
    )
    duty_amps: Current = _is("duty_amps", "Current of the duty rating.", gt=0)
    duty_ambient_c: float | None = _is(
        "duty_ambient_c",
        "Air temperature of the duty rating, degrees Celsius; below 40 it counts a fifth less.",
        example=40,
    )
    supply_note: str = _is("supply_note", "Mains voltage, fuse and cord, and the current they were found to hold.")


class TouchOffSection(FileModel):
    """How the plate is found before each cut."""

    touch_off: Annotated[TouchOff, Words.of(TouchOff)] = _is(
        "touch_off",
        '"float": a floating head on a switch. "ohmic": a sense circuit through the tip of a fixed head. '
        '"none": Z zero set on the plate by hand.',
        alias="kind",
        example="float",
    )
    float_travel: Length = _is(
        "float_travel",
        "How far the carriage rises from the trip of the switch until the tip just leaves the plate. Measure it.",
        alias="float",
        gt=0,
    )
    float_stroke: Length = _is(
        "float_stroke", "How far the carriage can go down from tip contact to the hard stop of the float.", gt=0
    )
    float_feed_mm_min: Feed = _is(
        "float_feed_mm_min",
        "Feed at which the float was measured; it holds for that feed alone.",
        alias="float_measured_at",
        gt=0,
    )
    float_acceleration_mm_s2: MaybeAcceleration = _is(
        "float_acceleration_mm_s2",
        "Acceleration of Z when the float was measured; it holds for that alone.",
        alias="float_acceleration",
        example="300 mm/s2",
        gt=0,
    )
    float_spread: MaybeLength = _is(
        "float_spread",
        "Largest less smallest trip of repeated touches at that feed. Up to 0.1 mm one touch does at most starts and "
        "saves a second: set slow_feed to fast_feed, run the float test piece and save what it finds.",
        example="0.05 mm",
        ge=0,
    )
    float_note: str = _is("float_note", "When and how the float was measured.")
    switch_hysteresis: Length = _is("switch_hysteresis", "Rise from the trip until the switch lets go.", ge=0)
    touch_fast_mm_min: Feed = _is("touch_fast_mm_min", "Feed of the first touch.", alias="fast_feed", gt=0)
    touch_slow_mm_min: Feed = _is("touch_slow_mm_min", "Feed of the second touch.", alias="slow_feed", gt=0)
    touch_latency_s: Time = _is("touch_latency_s", "Trip of the switch to the axis braking.", alias="latency", ge=0)
    sense_on: str = _is("sense_on", "Line that connects the sense circuit.")
    sense_off: str = _is("sense_off", "Line that disconnects the sense circuit before the torch is lit.")
    retouch_distance: Length = _is(
        "retouch_distance",
        "Touch-off of a pilot torch is left out nearer than this to the last one; 0: never left out.",
        ge=0,
    )
    leave_touch_off_out: bool = _is(
        "leave_touch_off_out",
        "true if you consent that a contact torch on a floating head lights without a touch-off within 100 mm of the "
        "last one, 4 times in a row at most, on plate of 3 mm and up. The cut height is then off by as much as the "
        "plate lies higher or lower there. Saves two seconds a start.",
    )


class HeightControlSection(FileModel):
    """Height control by arc voltage, if the machine has one."""

    height_control_on: str = _is("height_control_on", "Line that lets it take over; empty: none.", alias="on")
    height_control_off: str = _is("height_control_off", "Line that holds it.", alias="off")
    height_control_lock_s: Time = _is(
        "height_control_lock_s", "Wait at cut height before it takes over.", alias="lock", ge=0
    )


class AirSection(FileModel):
    """Compressed air, as far as it is known."""

    air_flow_l_min: MaybeFlow = _is(
        "air_flow_l_min", "Free air that the torch takes while it cuts.", alias="flow", example="120 l/min", gt=0
    )
    air_postflow_s: Time = _is("air_postflow_s", "How long air flows on after the arc.", alias="post_flow", ge=0)
    compressor_l_min: MaybeFlow = _is(
        "compressor_l_min", "Free air that the compressor delivers.", alias="compressor", example="60 l/min", ge=0
    )
    tank_l: MaybeVolume = _is("tank_l", "Volume of the tank.", alias="tank", example="24 l", gt=0)
    tank_bar: MaybePressure = _is(
        "tank_bar", "Tank pressure at which the compressor cuts in.", alias="cut_in", example="8 bar", gt=0
    )
    air_least_bar: MaybePressure = _is(
        "air_least_bar", "Tank pressure under which the torch lacks air.", alias="least", example="5.5 bar", gt=0
    )


class WatchSection(FileModel):
    """What a program does so that lost steps, false signals and worn tips are seen."""

    settle_s: Time = _is("settle_s", "Time after arc-off before any input is read.", alias="settle", ge=0)
    witness_every: int = _is(
        "witness_every", "After so many cuts the torch returns to the witness mark for a look; 0: never.", ge=0
    )
    witness_x: Length = _is("witness_x", "X of the witness mark, program coordinates.")
    witness_y: Length = _is("witness_y", "Y of the witness mark, program coordinates.")
    first_looks: int = _is(
        "first_looks", "After so many first cuts an optional stop asks whether the torch lit and cut through.", ge=0
    )
    tip_changes: bool = _is(
        "tip_changes", "Whether programs stop between parts for a new tip, by the tip life of the chart."
    )
    tip_change_x: MaybeLength = _is(
        "tip_change_x", "X of the place to change tips, program coordinates; without it where the cut ended.",
        example="0 mm",
    )  # fmt: skip
    tip_change_y: MaybeLength = _is("tip_change_y", "Y of the place to change tips.", example="0 mm")
