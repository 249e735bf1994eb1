"""Readings that balances and meters send: kept as they came, then read by the device's driver."""
