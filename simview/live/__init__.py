"""The page in the browser: a small server on this machine, and the files of its page beside it.

In the order in which a request passes: `serve` opens the port, `guard` lets only the owner of the
link in, `routes` has the doors, `known` tells a page what there is to choose, `wish` checks what
the page asks for, `frames` has it computed by the same functions as the commands, each thing
`once`, `socket` sends it, newest wish first. `kit_table` holds what stands on the table, `keep`
makes the sheet that a command would make, `offer_room` has adverts judged, `star_room` has a star
drawn, `photograph` has a visitor's own star diagnosed, `sky_tonight` knows what stands in the sky.
`page/` holds HTML, CSS and modules of the page. No physics and no rules here.
"""
