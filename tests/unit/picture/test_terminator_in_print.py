"""A low Sun over plains in print: light that fades to the night, and no step at its edge."""

from __future__ import annotations

import numpy as np

import simview
from simview.picture.prints.printing import develop_all
from simview.picture.prints.wanted import Wanted

SIDE, RADIUS = 500, 932.3


def print_by_altitude(power: float, altitudes_deg: tuple[float, ...]) -> list[float]:
    """Return the print's mean light where the Sun stands so high over the seas, 60 mm."""
    kit = simview.Kit(
        telescope=simview.Telescope(aperture_mm=60.0, focal_length_mm=700.0, objective="achromat"),
        eyepieces=(simview.Eyepiece(focal_length_mm=700.0 / power),),
    )
    view = simview.look(kit, "moon", power=power)
    wanted = Wanted(view=view, pixels_per_degree=15.0, pixels=SIDE)
    codes = np.asarray(develop_all([wanted]).panels[0], float).mean(axis=2) / 255.0
    light = np.where(codes <= 0.04045, codes / 12.92, ((codes + 0.055) / 1.055) ** 2.4)
    # Printed as in a mirror, lit on the left, north up.
    cell = 3600.0 / power / 15.0
    along = (np.arange(SIDE) - (SIDE - 1) / 2) * cell / RADIUS
    right, up = -along[None, :], -along[:, None]
    latitude = np.degrees(np.arcsin(np.clip(up, -0.95, 0.95)))
    width = np.sqrt(np.maximum(1.0 - up**2, 0.1))
    altitude = 8.0 + np.degrees(np.arcsin(np.clip(right / width, -0.95, 0.95)))
    # Imbrium and Nubium.
    seas = ((latitude > 28.0) & (latitude < 40.0)) | ((latitude > -25.0) & (latitude < -17.0))
    return [float(light[seas & (abs(altitude - each) < 0.35)].mean()) for each in altitudes_deg]


# Where the Sun is 1 deg high ground has sin 1 / sin 13 = 0.08 of the light that it has at 13 deg,
# and looks the darker for it: observers see the seas fade out over some degrees. A print that held
# more than a quarter of it there (0.27) showed a cut edge.
def test_seas_fade_to_the_terminator_of_a_half_moon() -> None:
    night, low, higher, day = print_by_altitude(35.0, (-2.0, 1.0, 3.0, 13.0))
    assert 0.08 < low / day < 0.25
    assert night < 0.35 * low < low < 0.75 * higher
