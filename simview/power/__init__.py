"""The power room: what more magnification would show, and what stands in its way.

The one place that judges power. Commands, sheets, the offers' advice and the live page ask here,
so that the same kit, object, sky and power get the same mark everywhere.

* `marks` - the question that everybody asks: `marks(kit, target, sky=..., observer=...)`;
* `records` - its answer as plain records: three powers and, at one power, what limits;
* `rules` - the trade's rules of thumb, beside which the answer stands;
* `words` - how an answer is said, from the fullest wording to the shortest;
* `suits` - which of a kit's own powers suits an object better than the one that is looked at;
* `detail` - the finest detail that an eye makes out, no telescope in it; `finest` - the same for
  one kit and one object against power; `parts` - what aperture, air, mount and eye alone leave;
* `splitting` - whether a view splits a double star; `multiple` - which stars are judged as pairs;
  `outlines` - whether one that has no gap is drawn in between its stars; `drawing_pairs` - how a
  pair is drawn as it is judged; `pairs` - a pair against power;
* `features` - whether a thin dark line or a small dark spot is seen;
* `faint` - a nebula against power; `starfields` - the faintest star against power;
* `figures` - the figures of a view by their fixed names.

Nothing is imported here: each module is loaded where it is used.
"""
