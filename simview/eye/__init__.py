"""The eye room: what becomes of the beam once it has left the eyepiece.

In the order the light meets it:

* `pupil` - how wide the eye's own pupil stands (it decides what of the beam goes in);
* `optics` - what cornea and lens do to the image: aberrations, the observer's own faults, glare;
* `colour` - how cones and rods weigh the wavelengths (CIE tables in `data/`);
* `retina` - the image on the retina in troland, made from all of the above;
* `adaptation` - rods and cones, mesopic mixture, fading colour, what is just visible;
* `acuity` - the finest angle at a given luminance;
* `contrast` - the contrast that a grating needs (Barten);
* `thresholds` - the faintest star and the faintest patch (Crumey), limiting magnitude;
* `detail` - the finest detail on the sky against power, and where power turns empty;
* `splitting` - whether a view splits a double star.

Nothing is imported here: each module is loaded where it is used.
"""
