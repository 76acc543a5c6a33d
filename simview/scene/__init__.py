"""What shines: everything that can be looked at, as luminance on the sky.

In the order one meets them:

    targets.py         the one door: `target(name, ...)`, and the list of all names
    scene.py           the records that leave the room: Target, Scene, Stars
    spectrum.py        which light the three planes of a scene stand for
    star_colour.py     temperatures and B-V to colour
    brightness.py      magnitudes of Moon and planets
    ephemeris.py       where Moon and planets stand for a date and place
    moment.py          dates as people write them, and the clocks of places
    aspect.py          how a planet stands: by date, by figures, or on average
    planets.py         the planets (planet_target.py: what they share; planet_colours.py: published
                       colours of the discs; jupiter.py, mars.py: maps;
                       saturn.py: rings; galilean.py, titan.py, saturnian.py: moons)
    moon.py            the Moon (moon_map.py: its broad face, of which moon_packing.py keeps the
                       heights; craters.py, pressed in by crater_relief.py;
                       moon_relief.py; moon_bumps.py; moon_young.py; moon_rilles.py;
                       moon_pits.py; moon_light.py; sunlit_terrain.py; moon_names.py: its
                       names; aiming.py: where a small field points)
    star_catalogue.py  the stars of Tycho-2; faint_stars.py: fainter ones by the count;
                       milky_way.py: the light of those fainter still
    doubles.py         double stars
    deep_sky.py        clusters, galaxies, nebulae, any star field (sky.py: all that a frame holds;
                       open_clusters.py, clusters.py (globular), galaxies.py, nebulae.py: each kind)
    charts.py          bar target, Siemens star
    daytime.py         a house by day: house.py, lettering.py, drawn by pen.py; landscape.py behind
    haze.py            hazy air between things on the ground
    photo.py           a picture of the user's own
    long_exposure_photo.py
                       the look of a long exposure
    sun_words.py       the Sun is no target: what is said to whoever asks for it
    own.py             a user's own targets; target_list.py: the list of all

and what they draw with:

    painting.py        from a drawing in relative light to a scene of a published magnitude
    sampling.py        true area means at any sampling
    globe.py           the face of an oblate body, its light and shade
    noise.py           seeded textures
    tables.py          reading the tables in data/

Modules load when a target first needs them.
"""
