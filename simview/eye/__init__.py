"""The eye room: what becomes of the beam once it has left the eyepiece.

In the order the light meets it:

* `state` - how the eye is set for a view; `pupil_size` - how wide its pupil stands;
* `eye_faults` - the observer's own short sight and astigmatism;
* `optics` - what cornea and lens do to the image; `glare` - the light that they scatter;
* `colour` - how cones and rods weigh the wavelengths (CIE tables in `data/`);
* `system` - telescope, air, mount and eye as one transfer; `retina` - the image that it makes, by
  the transforms in `pruned`;
* `adaptation` - rods and cones, mesopic mixture, fading colour, what is just visible.

What an eye can make of it:

* `media` - what lens and fluids take with age; `reference` - the eyes of published thresholds;
* `acuity` - the finest angle at a given luminance; `contrast` - the contrast that a grating needs;
* `thresholds` - the faintest star and the faintest patch; `faint` - a nebula against power;
* `transfer` - contrast left by telescope, air and mount; `detail` - the finest detail against power
  and where power turns empty; `finest` - both together for one kit and one object;
* `stations` - one kit at many powers, for every curve over power;
* `parts` - what aperture, air, mount and eye alone would leave; `aided` - instrument and eye as far
  as thresholds care;
* `splitting` - whether a view splits a double star; `pairs` - the same against power;
* `beside` - stars in a bright one's light; `unseen` - the haze of those below the limit;
* `starfields` - the faintest star against power; `clarity` - how wide a star's image is;
* `figures` - the figures of a view by their fixed names.

Nothing is imported here: each module is loaded where it is used.
"""
