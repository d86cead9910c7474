"""The house rules that come with flatwright; each is one file, written as a stranger would write it."""
