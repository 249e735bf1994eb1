"""The native API, first version."""
