"""Extracts of two catalogues of galaxies and open clusters, for the tests of sizes and light."""

# RC3 (de Vaucouleurs et al. 1991, Third Reference Catalogue of Bright Galaxies; VII/155 of the CDS,
# free for scientific use with citation), copied from its text: log10 of the diameter at 25 B
# mag/arcsec2 in units of 0.1 arcmin, log10 of major over minor axis, position angle in deg where
# it has one, total B, total B-V.
RC3 = {
    "andromeda": (3.28, 0.49, 35, 4.36, 0.92),
    "m32": (1.94, 0.13, 170, 9.03, 0.95),
    "m110": (2.34, 0.30, 170, 8.92, 0.85),
    "triangulum": (2.85, 0.23, 23, 6.27, 0.55),
    "m81": (2.43, 0.28, 157, 7.89, 0.95),
    "m82": (2.05, 0.42, 65, 9.30, 0.89),
    "whirlpool": (2.05, 0.21, 163, 8.96, 0.60),
    "ngc-5195": (1.76, 0.10, 79, 10.45, 0.90),
    "m101": (2.46, 0.03, None, 8.31, 0.45),
    "sombrero": (1.94, 0.39, 90, 8.98, 0.98),
    "m64": (2.00, 0.27, 115, 9.36, 0.84),
    "m87": (1.92, 0.10, None, 9.59, 0.96),
    "m65": (1.99, 0.53, 174, 10.25, 0.92),
    "m66": (1.96, 0.34, 173, 9.65, 0.73),
    "ngc-3628": (2.17, 0.70, 104, 10.28, 0.80),
    "sculptor": (2.44, 0.61, 52, 8.04, 0.85),
    "centaurus-a": (2.41, 0.11, 35, 7.84, 1.00),
    "lmc": (3.81, 0.07, 170, 0.91, 0.51),
    "smc": (3.50, 0.23, 45, 2.70, 0.45),
    "ngc-891": (2.13, 0.73, 22, 10.81, 0.88),
    "ngc-4565": (2.20, 0.87, 136, 10.42, 0.84),
    "m83": (2.11, 0.05, None, 8.20, 0.66),
    "m74": (2.02, 0.04, 25, 9.95, 0.56),
    "m77": (1.85, 0.07, 70, 9.61, 0.74),
}

# Angular diameters in arcmin of Dias et al. 2002, A&A 389, 871 (version 3.5 of 2015; B/ocl of the
# CDS, free for scientific use with citation), copied from its text.
DIAS = {
    "pleiades": 120.0,
    "hyades": 330.0,
    "alpha-persei-cluster": 300.0,
    "coma-cluster": 120.0,
    "ngc-869": 18.0,
    "ngc-884": 18.2,
    "beehive": 70.0,
    "m35": 40.0,
    "m36": 10.0,
    "m37": 14.0,
    "m38": 20.0,
    "m34": 35.0,
    "m41": 39.0,
    "m46": 20.0,
    "m47": 25.0,
    "m67": 25.0,
    "m11": 32.0,
    "m6": 20.0,
    "m7": 80.0,
    "ngc-457": 20.0,
    "ngc-7789": 25.0,
    "jewel-box": 10.0,
    "ngc-3532": 50.0,
    "southern-pleiades": 100.0,
    "ngc-2516": 30.0,
}
