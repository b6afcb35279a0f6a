"""What a dump means for this craft: the catalogue of settings, name maps, craft and site facts, and the Setup they give."""
