"""Write what galsim computes, so that the tests need not install its 230 MB.

Run by hand, in an environment that also has galsim (2.6 or newer, BSD licence):

    python tests/truth/references/make_air_and_rings.py

`air_and_rings.json`: the widths of a perfect telescope's pattern, and the transfer of turbulent air
by Kolmogorov's and von Karman's laws at the frequencies written beside them (cycles per arcsec, for
a Fried parameter in m). Nothing of simview's is in it.
"""

import json
from pathlib import Path

import galsim
import numpy as np

ARCSEC_PER_RADIAN = 206264.80624709636


def transfers(air: galsim.GSObject, frequency: np.ndarray) -> list[float]:
    """Return the share of contrast left at each frequency."""
    return [float(air.kValue(2.0 * np.pi * each, 0.0).real) for each in frequency]


def kolmogorov(wavelength_nm: float, r0_m: float) -> dict[str, object]:
    """Return one curve of the law without an outer scale."""
    frequency = np.linspace(0.0, 0.8, 9)
    air = galsim.Kolmogorov(lam=wavelength_nm, r0=r0_m)
    return {
        "wavelength_nm": wavelength_nm,
        "r0_m": r0_m,
        "frequency": frequency.tolist(),
        "left": transfers(air, frequency),
    }


def von_karman(outer_scale_m: float, r0_m: float) -> dict[str, object]:
    """Return one curve of the law with an outer scale, at 500 nm, and its full width."""
    air = galsim.VonKarman(lam=500.0, r0=r0_m, L0=outer_scale_m)
    frequency = np.linspace(0.02, 0.5, 8) * 4.0 * r0_m / 500e-9 / ARCSEC_PER_RADIAN
    return {
        "outer_scale_m": outer_scale_m,
        "r0_m": r0_m,
        "frequency": frequency.tolist(),
        "left": transfers(air, frequency),
        "fwhm_arcsec": float(air.calculateFWHM()),
    }


def main() -> None:
    """Write the file."""
    airy = galsim.Airy(lam_over_diam=1.0, scale_unit=galsim.arcsec)
    told = {
        "galsim": galsim.__version__,
        "airy_fwhm": float(airy.calculateFWHM()),
        "airy_half_light_radius": float(airy.half_light_radius),
        "kolmogorov_fwhm_times_r0": float(galsim.Kolmogorov(lam_over_r0=1.0).calculateFWHM()),
        "kolmogorov": [kolmogorov(450.0, 0.045), kolmogorov(500.0, 0.05), kolmogorov(650.0, 0.07)],
        "von_karman": [von_karman(10.0, 0.1), von_karman(25.0, 0.05), von_karman(50.0, 0.1)],
    }
    place = Path(__file__).parent / "air_and_rings.json"
    place.write_text(json.dumps(told, indent=1) + "\n", "utf-8")


if __name__ == "__main__":
    main()
