"""The numbers that the print rests on, each with its source, or said to be a choice.

How they work together: docs/models/tone.md.
"""

from __future__ import annotations

from typing import Final

import numpy as np

# Cones are half saturated at this many times a view's own white: leaves its brightest surface on
# the part of the curve where detail keeps twenty twenty-firsts of its contrast. The reader's own
# cones answer the print along such a curve again, as the observer's answer the view: what print
# takes is taken twice. Choice: enough of the curve is left for what outshines a view's white.
# COLOUR_HEADROOM is the same for the share of hue that is kept: choice.
HEADROOM: Final = 20.0
COLOUR_HEADROOM: Final = 3.0

# How far an eye adapts to each view: the view's white follows the light of its own brightest
# surface with this power, so that between views print goes about as light to the power 1 less
# this. A choice; Stevens found 0.33 (surfaces in the dark) to 0.5 (points, short looks).
ADAPTED: Final = 0.5

# Light below which cones adapt no further, troland: a view dimmer than that looks dim however
# long one looks. A choice of the order of the cones' "dark light" in work on adaptation.
ADAPTED_DARK_TD: Final = 20.0

# Print luminance (display white = 1) of the sheet's brightest surface. Choice: it dazzles, but with
# some room above for a coloured one, whose reddest light needs more than its luminance.
WHITE_PRINT: Final = 0.84

# Share of a field's radius inside which the darkness behind its stars and glows is measured: beyond
# it a small picture's edge is soft. A choice.
INSIDE_STOP: Final = 0.9

# Small bright spots do not set a view's white: it is what 98 % of its lit ground keep below, at
# most ABOVE_MOST times what nine tenths do, at least SPOTS of the brightest; lit is what has LIT of
# that one's light. So the Moon's highlands print near white, not grey for a few bright craters, and
# Mars' ground not dark for its cap. Choices; what is brighter than white goes to the shoulder.
ABOVE_MOST: Final = 1.6
SPOTS: Final = 0.35
LIT: Final = 0.08

# Width over which light is pooled for the adaptation of cones to its colour, deg; and troland of
# half-saturation in the dark. Choices of the order of published ones: adaptation is local, but not
# to less than a degree or so; dark-adapted cones are half saturated at some 10^3.3 troland (Valeton
# & van Norren 1983, Vision Res. 23, 1539; memory).
POOL_DEG: Final = 1.5
CONES_UNADAPTED_TD: Final = 2000.0

# Surfaces dimmer than this do not count as bright, troland: about what a 7 mm pupil takes from
# 0.1 cd/m2. Keeps a dark nebula from printing as bright as a planet. Choice.
LEAST_WHITE_TD: Final = 4.0

# Cones' own noise as light, troland: below it they fade out and leave the view to the rods.
# Choice, of the order of the absolute threshold of cone vision (0.005 cd/m2 in CIE 191).
CONE_DARK_TD: Final = 0.2

# A sheet whose brightest object has less light than this prints it darker, as if a brighter one
# stood beside it: Jupiter at 300 times through 60 mm is murky and grey also where nothing else is
# shown. Choice: about what Saturn has in an exit pupil of 0.75 mm. Planets are looked at with 0.5
# to 1 mm (common practice), and are no grey there: what is alone in the dark is seen white, however
# little light it has (Gelb 1929; Gilchrist et al. 1999, Psychol. Rev. 106, 795; memory).
BRIGHT_TD: Final = 55.0

# An eye adapts to a bright disc, but not wholly: of the same planet at the same power it calls the
# one in the larger telescope brighter. So in a beam thinner than this, mm, at which planets are
# usually looked at (0.5 to 1 mm: common practice), a sheet prints as if something stood beside it
# that is brighter by this power of the light that is wanting: light of a quarter prints with 0.77
# of the luminance. Choice.
USUAL_BEAM_MM: Final = 1.0
THIN_BEAM_POWER: Final = 0.3

# But at most as if something this many times brighter stood there, so that of two dim discs the one
# that sends more light is never the darker one: Neptune, Uranus, Jupiter at 300 times. Choice.
MURKY: Final = 4.0

# A disc up to the first width at the eye, deg, prints by the rule for stars, one of the second by
# that for surfaces, between them by some of both: so a planet is no fainter in print for showing
# as a disc. Choices; eyes add up light over some tenths of a degree there.
DOT_DEG: Final = (0.35, 0.75)

# Most that a small disc prints by the rule for stars, of white: it keeps its hue. Choice.
DOT_PRINT: Final = 0.38

# Scotopic troland above which a background is no night sky any more: it is left to the cones
# alone. Choice; the glow of a bright city in a 7 mm pupil is half of that.
ROD_LIMIT_TD: Final = 4.0

# Print luminance of a sky's background at that many scotopic troland (about 21.7 mag/arcsec2 in a
# 7 mm pupil), beside a bright object and on sheets of the night, and how it grows with light.
# Choices for a dim room: a screen there is never darker than 1 % of its white (IEC 61966-2-1's
# reference flare), in which a faint glow on a sky printed much darker than that would be lost.
SKY_PRINT: Final = 0.010
NIGHT_PRINT: Final = 0.014
SKY_TD: Final = 0.016
SKY_GROWTH: Final = 0.25
SKY_PRINT_RANGE: Final = (0.0015, 0.045)

# A bright object in view darkens the sky in print: by this power of how far its light surpasses
# 300 times the sky's. Choice; leaves the sky beside a planet a third of its print.
SKY_BESIDE_LIGHT: Final = -0.16

# Beside a bright object an own light of the sky below SKY_TD prints with this power of it besides
# (Stevens 1957: 0.5 for short looks): in an exit pupil of 0.5 to 1 mm a town's sky has 0.0005 to
# 0.002 scotopic troland, no more than the eye's own grey in the dark (Barlow 1957, J. Physiol. 136,
# 469: some 0.001; memory), which nobody sees beside a planet: such a sky is black. Choice.
SKY_BESIDE_POWER: Final = 0.5

# A star is just seen whose image's middle is this many times the sky's light, where nobody says
# better: Crumey's (2014) threshold for one eye on a dark sky against a spot of 4 arcmin.
STAR_OVER_SKY: Final = 100.0

# The faintest star of a view is drawn at half of its light, for it is seen half of the time
# (`printing.py`); so its full light prints at this many times what is just seen in print. Choice,
# two fifths more than what matches threshold to threshold: prints are looked at in lighter rooms.
STAR_MARGIN: Final = 2.8

# Beside a bright object rods answer light far above the sky's as well, or a dark Moon's earthshine
# would not stand out from the glare around it: half at this share of the brightest surface's light,
# scotopic troland by troland, with a power of light of 0.74 (Valeton & van Norren 1983, Vision Res.
# 23, 1539; memory), up to a print of GLOW_PRINT. Rods saturate only beyond 2000 troland (Aguilar &
# Stiles 1954, Opt. Acta 1, 59; memory); the veil around a full Moon in 200 mm at 50 times is 90;
# so what tells ground that glows from daylight is not its own light, but that it is GLOW_GROUND
# times darker than the brightest surface. Surfaces dimmer than GLOW_WHITE_TD have no such glow;
# where their glare fills the field and hides the sky, as the Moon's does, GLOW_VEILED times less
# does as well up to GLOW_ENOUGH of it: earthshine stands against that veil alike in any exit pupil.
# The more of the field bright ground fills the less glow is left, GLOW_LEFT of it at last, half-way
# down at GLOW_LIT, and the less light fills it: rods are dazzled, the shadows of a half Moon are
# ink-black, and skirts of bright peaks beside them no cotton. The shares, the print and those are
# choices: so small a share lets a veiled night keep its print, while ground at the terminator, all
# the glow's above it, does not stand up from it as a step.
GLOW_SHARE: Final = 0.0012
GLOW_POWER: Final = 0.74
GLOW_PRINT: Final = 0.024
GLOW_WHITE_TD: Final = 400.0
GLOW_VEILED: Final = 3.0
GLOW_ENOUGH: Final = 1.5
GLOW_LIT: Final = 0.3
GLOW_LEFT: Final = 0.15
GLOW_GROUND: Final = 100.0

# A view's background is its darker quarter; where less than UNLIT_MOST of it is GLOW_GROUND times
# darker than its white, but more than UNLIT_LEAST, that part alone. Choices.
UNLIT_LEAST: Final = 0.01
UNLIT_MOST: Final = 0.25

# Share of the eye's glare that is discounted: through an even veil of light, lightness is seen
# nearly as without it (Gilchrist & Jacobsen 1983, J. Exp. Psychol. HPP 9, 936; memory). So the
# Moon's shadows are black to observers. A choice of "nearly"; less where a bright object up to so
# many deg wide at the eye stands alone, whose glare is not even but a halo; all from so many on.
VEIL_DISCOUNTED: Final = 0.97
HALO_DISCOUNTED: Final = 0.8

# Light that a printed disc sends to its reader's retina, troland: 84 cd/m2 in a pupil of 4 mm. A
# reader's eye scatters as the eye at the telescope does. So around a disc that is no brighter at
# the eyepiece than in print the halo is there already, and printing it would show it twice; what
# dazzles more than any print can has its halo printed.
READER_TD: Final = 1000.0
VEIL_EVEN_DEG: Final = (3.0, 5.0)

# What an even veil hides stays hidden: a surface of this much of its light is half lost. A large
# patch beside no glare is seen at 0.01 to 0.02 (Blackwell 1946, J. Opt. Soc. Am. 36, 624; memory);
# but dust, the air and the telescope scatter about as much light again, which is not reckoned, and
# the eye is adapted to what dazzles it. Choice: so earthshine is lost at half Moon.
VEIL_HIDES: Final = 0.2

# A night sky whose own light is this much of the veil's over it prints half as light as such a sky
# would: what is seen there is the veil, which prints as what it is. Choice.
SKY_IN_VEIL: Final = 0.1

# Beside a bright object rods answer light near the sky's with this power of it, or its glare, which
# is ten and a hundred times the sky's, would print as an even disc with an edge. Stevens 1957: 0.33
# for brightness in the dark.
ROD_POWER_BESIDE: Final = 0.33

# A surface this many times 300 times as bright as the sky makes a sheet no sheet of the night.
NO_NIGHT: Final = 30.0

# How far a night's view reaches above its sky before rods saturate: half of their answer at this
# many times the sky. Choice: bright nebulae, of 100 times a country's sky, keep their shades.
NIGHT_REACH: Final = 50.0

# However far the reader sits, the faintest star prints no brighter than this. Choice.
MOST_FAINTEST: Final = 0.3

# A star this many times brighter than the faintest prints white: five magnitudes. Choice.
WHITE_STAR: Final = 100.0

# How much steeper than on the mean print rises from the faintest star, and how much less steeply
# it comes to white: what stands well above threshold looks clear at once (contrast constancy, see
# `display.shown_contrast`). Choice: 0.84 leaves the last magnitude
# 1.45 times its neighbour's print. STAR_START makes the first magnitude steeper still, so that one
# above the limit is a clear speck and no hint: at the eyepiece it is held without effort. Choice.
STAR_RISE: Final = 0.84
STAR_START: Final = 1.4

# Hazes are printed as bright as they are, and a star that outshines one sparkles in it: for each
# time of what is just seen there, from SPARKLES_FROM of it on, it prints at least SPARKLE times
# what lies between the haze's own print (three parts) and SPARKLE_PRINT (one, in logarithms).
# Choices; made for globular clusters, whose reports tell of grain.
SPARKLE: Final = 1.6
SPARKLE_PRINT: Final = 0.03
SPARKLES_FROM: Final = 0.55

# Beyond that a star's image and the light that it scatters in the eye grow with this power of its
# light (Stevens 1957: 0.5 for points, short looks).
GLARING_POWER: Final = 0.5

# Beside a bright disc a star prints darker than it by this power of their light, the star's in the
# middle of its image: Jupiter outshines its moons, however large a star's dot has to be in print,
# and they stay bright points that are told apart, as observers have them: Ganymede's 2.6 times the
# light of Callisto prints 1.5 times as bright. Choice, made by eye, below the 0.5 for points of
# Stevens 1957; at 0.25 they were all alike.
DISC_STAR_POWER: Final = 0.4

# Stars' dots in a whole view are this share of the usual width where that is too wide: of a close
# pair, which would run together, and of a planet's moons, which would be discs. Choice.
FINER_DOT: Final = 0.55

# Past white a star's own image grows with this power of its print only, for a disc that grew with
# all of it would fill the gap of a pair that the eye sees split. What is left shows in its
# skirts, rings and spikes, up to this much of white; all of it scatters in the eye. Choices.
STAR_CORE_POWER: Final = 0.4
STAR_SKIRTS: Final = 0.06

# What is printed of double stars' glare goes with the root of its light (Stevens 1957: 0.5 for
# short looks), up to GLARE_MOST; softly less where it has not much more than GLARE_FROM of the
# light of the faintest star's image, at which that root prints GLARE_PRINT. Choices.
GLARE_PRINT: Final = 0.012
GLARE_MOST: Final = 0.12
GLARE_FROM: Final = 0.5

# Where nothing but double stars is looked at the sky's print goes with this power of its light: no
# glow is there whose contrasts would be lost in the dark of the print, and the eye has it darker by
# such a power (Stevens 1957: 0.5 for short looks, 0.33 for wide fields in the dark). Choice.
PAIR_SKY_GROWTH: Final = 0.5

# A double star is looked at for its discs: its brighter star sets the white, so that both keep
# their profiles and the difference of their light, and rings stand apart from discs. It prints at 1
# with PAIR_WHITE_TD spread over its spot, and goes with PAIR_TOP_POWER of its light, of less light
# with PAIR_DIM_POWER, so that dim discs that run together do not burn out, in this range:
# the brighter, the more of its middle is white. Fainter ones print with PAIR_POWER of their light,
# but of five magnitudes above the faintest with PAIR_KNEE at least: at the eyepiece such a
# companion is a plain steady point. Skirts, rings and spikes gain by PAIR_SKIRT_POWER of a star's
# light past WHITE_STAR. PAIR_START is STAR_START for them: what is a clear speck at the eyepiece is
# one beside a bright pair, whose white takes print from all fainter stars. Choices.
PAIR_WHITE_TD: Final = 190.0
PAIR_TOP_POWER: Final = 0.14
PAIR_DIM_POWER: Final = 0.17
PAIR_TOP_RANGE: Final = (0.6, 1.5)
PAIR_POWER: Final = 0.36
PAIR_KNEE: Final = 0.18
PAIR_SKIRT_POWER: Final = 0.3
PAIR_START: Final = 2.4

# STAR_GREY for them: what lies around their discs prints as much darker. Choice. And the share of
# its colour that such a star keeps at most: cones see it as by day, for the fainter one of a pair,
# too, sends an eye about HUE_WHOLE_TD and more (Albireo's 30 troland in 60 mm, 350 in 200 mm), and
# a small dot of a print looks as pale to its reader as a star does to an observer.
PAIR_GREY: Final = 0.035
PAIR_COLOUR_KEPT: Final = 1.0

# Share of its colour that a surface keeps in print at most, on sheets of the night and beside
# bright objects, where cones see as by day; the same for a star, and the print luminance at which a
# star's light keeps half of that. Choices: an eye at night sees colours pale, those of small points
# paler, and those of faint light hardly.
COLOUR_KEPT: Final = 0.6
COLOUR_KEPT_BY_DAY: Final = 1.0
STAR_COLOUR_KEPT: Final = 0.75
STAR_GREY: Final = 0.05

# Light of cones, troland, at which hue begins: their absolute threshold in the fovea, where a dark
# adapting eye's cones come to rest (Hecht 1921, J. Gen. Physiol. 4, 113; Hecht, Haig & Chase 1937,
# J. Gen. Physiol. 20, 831: a few 1e-4 cd/m2 in a wide pupil; from memory, to a factor of 2). Taken
# at its low end: beyond the macula's pigment cones get 1.4 times as much of the green lines
# as the 2-degree observer (CIE 1964: 0.46 of their most at 500 nm, against 0.32). And light of
# which all hue is seen: 5 cd/m2 (CIE 191:2010) in a pupil of 3.8 mm.
HUE_FROM_TD: Final = 0.006
HUE_WHOLE_TD: Final = 57.0

# How softly hue begins, in the logarithm of light: no threshold is a step, and a hue that began at
# one would end as a patch does. And with what power it rises from there: it is no longer weak soon
# after it begins, for cones tell hue as soon as they see. Choices.
HUE_SOFT: Final = 0.35
HUE_RISE: Final = 0.6

# Light whose noise is as much as that of the cones in the dark, troland: from there on a contrast
# just noticed falls with the root of light only (de Vries 1943; Rose 1948). Choice: twice the light
# at which hue begins.
HUE_NOISE_TD: Final = 0.012

# Purity, 0 to 1, taken from how far the cones' answers differ (CAT16's channels, white = 1): red
# against green, and blue against both, of which a quarter counts; 0.37 is that of the green lines
# of nebulae, which are as pure as light is. Less than the last counts as that. Choices.
BLUE_PURE: Final = 0.25
PURE: Final = 0.37
LEAST_PURE: Final = 0.02

# CIE XYZ to linear sRGB. Source: IEC 61966-2-1.
XYZ_TO_RGB: Final = np.array(
    [
        [3.2406, -1.5372, -0.4986],
        [-0.9689, 1.8758, 0.0415],
        [0.0557, -0.2040, 1.0570],
    ]
)
