"""The character's body as a stack of sections a region, deformed from a template's charts.

Every region keeps a local frame: x outward (to the left for the trunk), y to the back, z along its axis
in the direction of its stations. A point of the template keeps its local coordinates and its station;
the figure's parameters move it:

- lengths: the axial coordinate is stretched by e^l within each segment between levels;
- widths and depths: x and y about the section's centre by e^a(t) and e^b(t), natural cubic splines of
  the station t; the centre itself is shifted by two more splines;
- anchors: where a limb's joint sits on its parent; pose: two or three angles a joint.

All derivatives are exact.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.study.region_model import Material, RegionModel

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PosedRegion:
    """Where one region is for one set of parameters, with derivatives by the shared parameters.

    Posed for several pictures, every array leads with their number.
    origin : (3,) its joint. turn : (3, 3) rotation away from the template's pose.
    origin_by : (3, p). spins : (3, p) angular velocity of each pose angle, zero for the rest.
    """

    origin: Points
    turn: Points
    origin_by: Points
    spins: Points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FigureModel:
    """The template and the layout of the shared parameter vector (size ``count``).

    stature : of the template [mm]. middle : (3,) halfway up it, where cameras are aimed.
    """

    regions: Mapping[str, RegionModel]
    grids: Mapping[str, Material]
    count: int
    pose_columns: NDArray[np.int64]
    stature: float
    middle: Points

    def pose(
        self, parameters: Points, wobble: Points | None = None, *, derivatives: bool = True
    ) -> dict[str, PosedRegion]:
        """Chain all regions together.

        parameters : (count,). wobble : (poses,) one picture's own addition to the pose angles, (views, poses)
        for several pictures, or None. Without derivatives, those of the result have no columns.
        """
        p = parameters
        angles = p[self.pose_columns] + (0.0 if wobble is None else wobble)
        lead = angles.shape[:-1]
        columns = self.count if derivatives else 0
        posed: dict[str, PosedRegion] = {}
        for name, region in self.regions.items():
            origin_by = np.zeros((*lead, 3, columns))
            spins = np.zeros((*lead, 3, columns))
            if region.anchor_material is None:
                origin = np.broadcast_to(region.origin, (*lead, 3))
                turn = np.broadcast_to(np.eye(3), (*lead, 3, 3))
            else:
                parent, above = self.regions[region.parent], posed[region.parent]
                side = np.array([-1.0 if region.mirrored else 1.0, 1.0, 1.0])
                lever = above.turn @ (side * p[region.anchor])
                if derivatives:
                    place, by = self.move(parent, above, p, region.anchor_material)
                    origin_by += by.reshape(origin_by.shape)
                    origin_by[..., region.anchor] += above.turn * side
                    # The anchor's own offset turns with the parent too.
                    origin_by += _levers(lever.reshape(-1, 3)).reshape(*lead, 3, 3) @ above.spins
                else:
                    place = self.places(parent, above, p, region.anchor_material)
                origin = place.reshape(*lead, 3) + lever
                first = int(np.searchsorted(self.pose_columns, region.pose.start))
                own = angles[..., first : first + len(region.angle_axes)]
                turn, spins = _turn(region, above, own)
            posed[name] = PosedRegion(origin=origin, turn=turn, origin_by=origin_by, spins=spins)
        return posed

    def move(
        self, region: RegionModel, posed: PosedRegion, parameters: Points, material: Material
    ) -> tuple[Points, Points]:
        """Places (m, 3) of material points and their derivatives (m, 3, count).

        A region posed for several pictures moves one material point into each of them.
        """
        p = parameters
        local, growth_x, growth_y, growth_z = _deform(region, p, material)
        axes = posed.turn @ region.frame
        arm = (axes @ local[:, :, None])[:, :, 0]
        places = posed.origin + arm
        by = np.empty((len(places), 3, self.count))
        by[:] = posed.origin_by
        turning = np.flatnonzero(posed.spins.reshape(-1, self.count).any(axis=0))
        if len(turning):
            by[:, :, turning] += _levers(arm) @ posed.spins[..., turning]
        x, y, z = (axes[..., k].reshape(-1, 3)[:, :, None] for k in range(3))
        by[:, :, region.width] += x * (growth_x[:, None] * material.breadth)[:, None]
        by[:, :, region.depth] += y * (growth_y[:, None] * material.breadth)[:, None]
        by[:, :, region.bend_x] += x * material.bend[:, None]
        by[:, :, region.bend_y] += y * material.bend[:, None]
        by[:, :, region.lengths] += z * growth_z[:, None]
        return places, by

    def pulled(
        self,
        region: RegionModel,
        posed: PosedRegion,
        parameters: Points,
        material: Material,
        view: NDArray[np.int64],
        pull: Points,
    ) -> Points:
        """Derivatives of material points along one direction each, (m, count), without the other two.

        posed : for several pictures. view : (m,) the picture each point is in. pull : (m, 3) directions.
        """
        local, growth_x, growth_y, growth_z = _deform(region, parameters, material)
        axes = (posed.turn @ region.frame)[view]
        arm = (axes @ local[:, :, None])[:, :, 0]
        along = (pull[:, None, :] @ axes)[:, 0]
        torque = np.cross(arm, pull)
        by = np.empty((len(local), self.count))
        for number in range(len(posed.origin)):
            own = view == number
            by[own] = pull[own] @ posed.origin_by[number] + torque[own] @ posed.spins[number]
        by[:, region.width] += (along[:, 0] * growth_x)[:, None] * material.breadth
        by[:, region.depth] += (along[:, 1] * growth_y)[:, None] * material.breadth
        by[:, region.bend_x] += along[:, 0, None] * material.bend
        by[:, region.bend_y] += along[:, 1, None] * material.bend
        by[:, region.lengths] += along[:, 2, None] * growth_z
        return by

    def places(
        self, region: RegionModel, posed: PosedRegion, parameters: Points, material: Material
    ) -> Points:
        """Places of material points, without derivatives, (m, 3).

        A region posed for several pictures puts one point into each, or each of as many into its own.
        """
        local = _deform(region, parameters, material)[0]
        axes = posed.turn @ region.frame
        if axes.ndim == 2:
            return np.asarray(posed.origin + local @ axes.T)
        return np.asarray(posed.origin + (axes @ local[:, :, None])[:, :, 0])

    def seen_grid(
        self, region: RegionModel, posed: PosedRegion, parameters: Points, lenses: Points
    ) -> Points:
        """All section points of a region as pictures see them from the figure's middle, (views, k * n, 3).

        posed : for several pictures. lenses : (views, 3, 3), see ``camera.lens``.
        """
        local = _deform(region, parameters, self.grids[region.name])[0]
        turned = lenses @ posed.turn @ region.frame
        origin = (lenses @ (posed.origin - self.middle)[:, :, None])[:, :, 0]
        return np.asarray(local @ np.swapaxes(turned, 1, 2) + origin[:, None])

    def grid_places(self, region: RegionModel, posed: PosedRegion, parameters: Points) -> Points:
        """Places of all section points of a region, (k, n, 3)."""
        return self.places(region, posed, parameters, self.grids[region.name]).reshape(region.sections.shape)


def _levers(arm: Points) -> Points:
    """Matrices (m, 3, 3) that take an angular velocity to the velocity at the end of each arm (m, 3)."""
    levers = np.zeros((len(arm), 3, 3))
    x, y, z = arm.T
    levers[:, 0, 1], levers[:, 0, 2] = z, -y
    levers[:, 1, 0], levers[:, 1, 2] = -z, x
    levers[:, 2, 0], levers[:, 2, 1] = y, -x
    return levers


def _deform(region: RegionModel, p: Points, material: Material) -> tuple[Points, Points, Points, Points]:
    """Local coordinates as deformed, and the growth by a, b (m,) and by lengths (m, segments)."""
    growth_x = (material.local[:, 0] - material.centre[:, 0]) * np.exp(material.breadth @ p[region.width])
    growth_y = (material.local[:, 1] - material.centre[:, 1]) * np.exp(material.breadth @ p[region.depth])
    growth_z = material.stretch * np.exp(p[region.lengths])
    local = np.stack(
        [
            material.centre[:, 0] + growth_x + material.bend @ p[region.bend_x],
            material.centre[:, 1] + growth_y + material.bend @ p[region.bend_y],
            growth_z.sum(axis=1),
        ],
        axis=1,
    )
    return local, growth_x, growth_y, growth_z


def _turn(region: RegionModel, above: PosedRegion, angles: Points) -> tuple[Points, Points]:
    """Rotation of a region and the angular velocities of its own and its ancestors' angles."""
    spins = above.spins.copy()
    turn = above.turn
    handed = -1.0 if region.mirrored else 1.0
    # Flexion turns the same way on both sides; abduction and twist mirror.
    axes = (np.array([1.0, 0.0, 0.0]), np.array([0.0, -handed, 0.0]), handed * region.frame[:, 2])
    for k, which in enumerate(region.angle_axes):
        if spins.shape[-1]:
            spins[..., region.pose.start + k] = turn @ axes[which]
        turn = turn @ rotation(axes[which], angles[..., k])
    return turn, spins


def rotation(axis: Points, angle: Points | float) -> Points:
    """Right-handed rotations about an axis of any length but zero, (..., 3, 3). angle : (...) [rad]."""
    x, y, z = axis / np.sqrt(axis @ axis)
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    turned = np.asarray(angle)[..., None, None]
    result: Points = np.eye(3) + np.sin(turned) * cross + (1.0 - np.cos(turned)) * (cross @ cross)
    return result
