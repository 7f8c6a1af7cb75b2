"""How shiny rendered panels of known roughness look, to fit the cue by and to try it on."""
