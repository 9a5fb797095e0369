"""Options of a shell, as written in costume.toml."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from layfigure.draft.shell.horn_through import HornPoint
from layfigure.draft.window.options import ACROSS_SEAMS, WINDOW_EDGE, BackingAs, WindowEdge
from layfigure.files.quantities import Angle, Length, Share

Shape = Literal["dome", "cup", "helm", "horn", "mesh"]
Over = Literal["knee", "elbow", "shoulder", "bust"]


class ShellOptions(BaseModel):
    """Options of a shell; which ones count depends on its shape."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    shape: Shape = Field(
        "dome", description="dome: a cap on a joint; cup: of a breastplate; helm; horn; mesh: a file of yours"
    )
    over: Over | None = Field(
        None, description="dome or cup: what it sits on, where no rim is placed; a cup sits on the bust"
    )
    width: Length | None = Field(
        None, gt=30.0, description="dome or cup: tape over it from side to side; from the body if not said"
    )
    height: Length | None = Field(
        None, gt=30.0, description="dome or cup: tape over it from top to bottom; from the body if not said"
    )
    rise: Length = Field(15.0, ge=0.0, le=150.0, description="how far its crown stands off beyond the air")
    air: Length = Field(4.0, ge=0.0, le=60.0, description="dome or cup: room over what is worn beneath")
    gores: int | None = Field(None, ge=3, le=24, description="how many gores; as few as will do if not said")
    padding: Length = Field(12.0, ge=0.0, le=40.0, description="helm, horn or mesh on a head: padding inside")
    hair: Length = Field(
        10.0, ge=0.0, le=80.0, description="helm, horn or mesh on a head: room for hair or a wig cap"
    )
    rim_front: Length = Field(12.0, description="helm: rim at the front, above the brow")
    rim_sides: Length = Field(0.0, description="helm: rim at the sides, above the brow")
    rim_back: Length = Field(0.0, description="helm: rim at the back, above the brow; negative for below")
    face_width: Length | None = Field(
        None, gt=60.0, le=260.0, description="helm: width of a face opening between cheek pieces"
    )
    brim: Length = Field(0.0, ge=0.0, le=250.0, description="helm: width of its brim, none if 0")
    brim_drop: Angle = Field(12.0, ge=-30.0, le=60.0, description="helm: how steeply the brim falls outward")
    crest: Length = Field(0.0, ge=0.0, le=250.0, description="helm: height of a fin from front to back")
    length: Length = Field(250.0, gt=30.0, le=1500.0, description="horn: along its middle")
    base: Length = Field(60.0, gt=8.0, le=300.0, description="horn: thickness where it stands")
    tip: Length = Field(4.0, ge=0.0, le=100.0, description="horn: thickness at its tip")
    sides: int = Field(6, ge=3, le=12, description="horn: strips it is made of")
    turns: float = Field(0.0, ge=-4.0, le=4.0, description="horn: turns of a spiral, negative for clockwise")
    coil: Length = Field(0.0, ge=0.0, le=300.0, description="horn: how far a spiral swings out from its axis")
    lean: Angle = Field(0.0, ge=-80.0, le=80.0, description="horn: how far it leans back from upright")
    curl: Angle = Field(0.0, ge=-720.0, le=720.0, description="horn: how far it bends back over its length")
    through: list[HornPoint] = Field(
        [], max_length=40, description="horn: places that its middle passes, from where it stands"
    )
    grows_with: str | None = Field(
        None, max_length=60, description="horn through places: a measure of the wearer that they grow with"
    )
    made_for: Length | None = Field(
        None, gt=0.0, description="horn through places: that measure of the body they were said for"
    )
    root_around: Share = Field(0.0, description="horn on a head: way round, 0 % front, 25 % the left")
    root_up: Share = Field(0.6, ge=0.0, le=1.0, description="horn on a head: 0 % rim, 100 % crown")
    unit: Literal["mm", "cm", "m", "in"] | None = Field(None, description="mesh: one unit of the file")
    scale: float = Field(1.0, gt=0.0, description="mesh: made so many times larger")
    up: Literal["y", "z"] = Field(
        "z", description="mesh: the file's way up, its front then +z or -y; a GLB's is turned already"
    )
    turn: Angle = Field(0.0, ge=-360.0, le=360.0, description="mesh: turned to the left, seen from above")
    detail: Length = Field(
        0.0, ge=0.0, le=300.0, description="mesh: details finer than this are smoothed away"
    )
    on: Literal["head", "over_head", "face"] | None = Field(
        None,
        description="mesh: head: worn on top of it; over_head: a helm put over it; face: a mask; a prop if "
        "not said",
    )
    fit: Literal["file", "head"] = Field(
        "file", description="mesh over head or face: as large as the file says, or as the head asks"
    )
    model_head: Length | None = Field(
        None,
        gt=300.0,
        le=900.0,
        description="mesh: girth of the head it was made for; scaled to the wearer's",
    )
    eyes: Share | None = Field(
        None, ge=0.0, le=1.0, description="mesh over head or face: how high its eyes lie; resting if not said"
    )
    below_chin: Length = Field(
        10.0, ge=-150.0, le=200.0, description="mesh over head: a closed one is opened so far below the chin"
    )
    halves: Literal["auto", "yes", "no"] = Field(
        "auto", description="mesh over head: split into front and back; auto: where the head does not pass"
    )
    window_edge: WindowEdge = WINDOW_EDGE
    backing_as: BackingAs = Field(
        "inset", description="backing of windows: a piece behind each, or behind the whole panel"
    )
    across_seams: bool = ACROSS_SEAMS
    most_pieces: int = Field(30, ge=1, le=80, description="mesh: no more pieces than this")
