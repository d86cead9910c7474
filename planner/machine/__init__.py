"""Files for machines, made from a plan: what is drawn for people, once more without words. Nothing is computed here."""
