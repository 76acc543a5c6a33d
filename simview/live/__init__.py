"""The page in the browser: a small server on this machine, and the files of its page beside it.

In the order in which a request passes: `serve` opens the port, `guard` lets only the owner of the
link in, `app` has the doors, `wish` checks what the page asks for, `frames` has it computed by the
same functions as the commands, `socket` sends it, newest wish first. `kits` holds what stands on
the table, `keep` makes the sheet that a command would make, `offers` has adverts judged, `stars`
has a star drawn. `page/` holds HTML, CSS and modules of the page. No physics and no rules here.
"""
