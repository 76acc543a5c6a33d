"""What shines: everything that can be looked at, as luminance on the sky.

In the order one meets them:

    targets.py      the one door: `target(name, ...)`, and the list of all names
    scene.py        the records that leave the room: Target, Scene, Stars
    spectrum.py     which light the three planes of a scene stand for
    colour.py       temperatures and B-V to colour
    brightness.py   magnitudes of Moon and planets
    ephemeris.py    where Moon and planets stand for a date and place
    stance.py       how a planet stands: by date, by figures, or on average
    planets.py      the planets (jupiter.py, mars.py: maps; saturn.py: rings; galilean.py: moons)
    moon.py         the Moon (moon_map.py: its broad face; craters.py; moon_light.py; relief.py)
    catalogue.py    star fields and open clusters from Tycho-2
    doubles.py      double stars
    charts.py       bar target, Siemens star
    photo.py        a picture of the user's own

and what they draw with:

    painting.py     from a drawing in relative light to a scene of a published magnitude
    sampling.py     true area means at any sampling
    globe.py        the face of an oblate body, its light and shade
    noise.py        seeded textures
    tables.py       reading the tables in data/

Modules load when a target first needs them.
"""
