"""Write what colour-science computes, so that the tests need not install its 100 MB.

Run by hand, in an environment that also has colour-science (0.4.6 or newer, BSD licence):

    python tests/truth/references/make_colours.py

`colours.json`: the screen's coding of IEC 61966-2-1 both ways, its matrices, colours of CIE L*a*b*
1976 and of Oklab, the matrices of Machado, Oliveira & Fernandes 2009 for colour-blind readers at
full severity, CAT16 and CIECAM02's degree of adaptation, black bodies under the CIE 1931 observer,
that observer, the CIE 1951 scotopic one and D65 at 5 nm, the bands of the camera measured by
Darrodi et al. 2015 before a star of 7000 K, and the contrast sensitivity of Barten 1999. Nothing of
simview's is in it.
"""

import json
import warnings
from pathlib import Path

import numpy as np

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour
    from colour.appearance.ciecam02 import degree_of_adaptation
    from colour.blindness import CVD_MATRICES_MACHADO2010
    from colour.contrast import contrast_sensitivity_function_Barten1999

FIVE_NM = np.arange(380.0, 781.0, 5.0)
WARM = (1.0986, 1.0, 0.3558)  # CIE illuminant A
SUN = (0.976, 1.0, 0.91)
D65_WHITE = (0.9505, 1.0, 1.0890)  # rounded as IEC 61966-2-1 has it
XYZ_GIVEN = (0.3, 0.25, 0.1)
OKLAB = ((0.25, 0.0, 0.0), (0.93, 0.005, 0.095), (0.93, -0.04, -0.035))


def coding() -> dict[str, object]:
    """Return the screen's coding, and where colours of it lie in CIE L*a*b*."""
    light = np.linspace(0.0, 1.0, 257)
    codes = np.array([[255, 255, 255], [0, 0, 0], [12, 34, 56], [240, 96, 8], [120, 200, 90]])
    linear = colour.cctf_decoding(codes / 255.0, function="sRGB")
    space = colour.RGB_COLOURSPACES["sRGB"]
    return {
        "light": light.tolist(),
        "coded": colour.cctf_encoding(light, "sRGB").tolist(),
        "linear": colour.cctf_decoding(light, "sRGB").tolist(),
        "rgb_to_xyz": space.matrix_RGB_to_XYZ.tolist(),
        "xyz_to_rgb": space.matrix_XYZ_to_RGB.tolist(),
        "codes": codes.tolist(),
        "lab": colour.XYZ_to_Lab(linear @ space.matrix_RGB_to_XYZ.T).tolist(),
    }


def oklab() -> list[dict[str, list[float]]]:
    """Return codes of colours of Oklab, those outside the screen's clipped."""
    rows = []
    for each in OKLAB:
        linear = colour.XYZ_to_RGB(
            colour.Oklab_to_XYZ(np.array(each)), "sRGB", apply_cctf_encoding=False
        )
        codes = colour.cctf_encoding(np.clip(linear, 0.0, 1.0), function="sRGB") * 255.0
        rows.append({"oklab": list(each), "codes": codes.tolist()})
    return rows


def adaptation() -> dict[str, object]:
    """Return colours after full adaptation to a white, and how far an eye adapts."""
    adapted = [
        colour.adaptation.chromatic_adaptation_VonKries(
            np.array(XYZ_GIVEN), np.array(white), np.array(D65_WHITE), transform="CAT16"
        ).tolist()
        for white in (WARM, SUN)
    ]
    luminance = [0.0, 1.0, 100.0, 5000.0]
    return {
        "given": list(XYZ_GIVEN),
        "to": list(D65_WHITE),
        "whites": [list(WARM), list(SUN)],
        "adapted": adapted,
        "luminance_cd_m2": luminance,
        "degree": [float(degree_of_adaptation(1.0, 0.2 * each)) for each in luminance],
    }


def black_bodies() -> dict[str, object]:
    """Return chromaticities by Planck's law and the CIE 1931 observer at 1 nm."""
    kelvin = [2200, 2856, 4000, 5772, 7500, 10000, 25000]
    shape = colour.SpectralShape(360, 780, 1)
    return {
        "kelvin": kelvin,
        "xy": [
            colour.XYZ_to_xy(
                colour.sd_to_XYZ(colour.sd_blackbody(each, shape), method="Integration")
            ).tolist()
            for each in kelvin
        ],
    }


def tables() -> dict[str, object]:
    """Return observer and daylight at 5 nm."""
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    daylight = colour.SDS_ILLUMINANTS["D65"]
    rods = colour.colorimetry.SDS_LEFS["CIE 1951 Scotopic Standard Observer"]
    return {
        "nm": FIVE_NM.tolist(),
        "observer": [observer[float(nm)].tolist() for nm in FIVE_NM],
        "d65": [float(daylight[float(nm)]) for nm in FIVE_NM],
        "rods": [float(rods[float(nm)]) for nm in FIVE_NM],
    }


def camera() -> list[list[float]]:
    """Return mean and deviation, nm, of the light of a 7000 K star that each channel answers to."""
    measured = next(iter(colour.MSDS_CAMERA_SENSITIVITIES.values()))
    wave = measured.wavelengths
    shape = colour.SpectralShape(wave[0], wave[-1], wave[1] - wave[0])
    star = colour.sd_blackbody(7000.0, shape).values
    rows = []
    for channel in range(3):
        light = measured.values[:, channel] * star
        mean = float((light * wave).sum() / light.sum())
        rows.append([mean, float(np.sqrt((light * (wave - mean) ** 2).sum() / light.sum()))])
    return rows


def barten() -> dict[str, object]:
    """Return the contrast sensitivity of Barten 1999, its optical factor switched off."""
    cycles = np.geomspace(0.1, 60.0, 40)
    rows = [
        {
            "troland": td,
            "object_deg": size,
            "sensitivity": contrast_sensitivity_function_Barten1999(
                cycles, sigma=0.0, X_0=size, E=td
            ).tolist(),
        }
        for td in (0.01, 1.0, 100.0, 5000.0)
        for size in (0.2, 1.0, 10.0, 60.0)
    ]
    return {"cycles_per_deg": cycles.tolist(), "rows": rows}


def main() -> None:
    """Write all of it."""
    blind = ("Protanomaly", "Deuteranomaly", "Tritanomaly")
    told = {
        "by": f"colour-science {colour.__version__}",
        "coding": coding(),
        "oklab": oklab(),
        "colour_blind": {
            name: np.asarray(CVD_MATRICES_MACHADO2010[name][1.0]).tolist() for name in blind
        },
        "adaptation": adaptation(),
        "black_bodies": black_bodies(),
        "tables": tables(),
        "camera": camera(),
        "barten": barten(),
    }
    place = Path(__file__).with_name("colours.json")
    place.write_text(json.dumps(told, separators=(",", ":")) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
