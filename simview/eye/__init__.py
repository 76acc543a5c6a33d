"""The eye room: what becomes of the beam once it has left the eyepiece.

In the order the light meets it:

* `filters` - a filter before the eyepiece, and the light that it leaves;
* `state` - how the eye is set for a view; `pupil_size` - how wide its pupil stands;
* `eye_faults` - the observer's own short sight and astigmatism;
* `optics` - what cornea and lens do to the image; `scatter` - the published veil of what
  they scatter, `glare` - that veil over a view, `closescatter` - its part close by, by frequency;
* `colour` - how cones and rods weigh the wavelengths (CIE tables in `data/`);
* `system` - telescope, air, mount and eye as one transfer; `kernels` - the image of a point;
  `retina` - the image of all, by the transforms in `pruned`, of stars from their `dots`;
  `around` - what lies around stars, as bright as it is; `ownhue` - what a lens takes of a disc's
  own hue;
* `adaptation` - rods and cones, mesopic mixture, fading colour, what is just visible.

What an eye can make of it:

* `media` - what lens and fluids take with age; `reference` - the eyes of published thresholds;
* `acuity` - the finest angle at a given luminance; `contrast` - the contrast that a grating needs;
* `thresholds` - the faintest star and the faintest patch;
* `transfer` - contrast left by telescope, air and mount;
* `stations` - one kit at many powers, for every curve over power;
* `aided` - instrument and eye as far as thresholds care;
* `starimage` - the image of a single star; `clarity` - how wide it is;
* `beside` - stars in a bright one's light; `unseen` - the haze of those below the limit;
* `gathered` - faint stars of clusters that stand so close that they are taken for one.

What follows from these for magnification is judged in `simview/power/`.

Nothing is imported here: each module is loaded where it is used.
"""
