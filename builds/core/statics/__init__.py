"""How a string figure hangs: masses, rest pose, lean, what trues it, strings. Planar, in profile.

Import from the submodules: `values`, `shapes`, `woods`, `rest`, `lean`, `truing`, `trials`,
`strings`, `scaling`, `checks`. Lengths are millimetres, masses grams, angles degrees at the edge;
x runs forward of the line of balance, y up from the floor, and a positive lean is forward.
"""
