"""The command line: thin commands that read, call and report.

In the order a command passes through it::

    app.py       gathers the commands; run(): the one place where errors become exit codes
    commands/    one file a command, found by itself: drop a file in and it is there
    options.py, displayoptions.py, filmoptions.py, reportoptions.py, slideoptions.py
                 every option, declared once, in groups that commands ask for
    groups.py    how a command takes a whole group of options as one record
    helppages.py how a command's help is laid out, in these groups
    typed.py     plain values of options, read without what typer loads for the others
    parsing.py   text to values: powers, sizes, double stars
    several.py   options that may be lists: one panel for each value
    complete.py  tab completion of targets, kits and choices
    kits.py      kit files and the demo's kits, with the sky and the eye that go with them
    offered.py   an offer where a command expects a kit
    offers.py    listings and letterheads, and where a verdict goes; ask.py: asks the adviser
    progress.py  a bar on standard error, when a terminal looks on and it takes long
    report.py    figures and pictures out, remarks to standard error; columns.py: rows of figures
                 side by side
    ledger.py    what is finished, for the line that an interrupt gets
    side_by_side.py  whole command lines as processes, for the demo; warm.py, standby.py: copies of
                 a process that has loaded the libraries

A new command is one new file ``commands/NAME.py`` with

* ``command``: a function with a docstring (its help); its parameters are typer's, or groups from
  options.py;
* ``EXAMPLES``: command lines for its help, without the leading ``simview NAME``;
* ``DEMO`` (if it has something to show): command lines that ``simview demo`` runs, in the same
  form, ``{folder}`` standing for the demo's folder.

It imports no numerics at the top, only inside the function, so that ``simview --help`` stays fast.
"""
