"""Pictures as numbers: pure geometry that a template writes as marks."""
