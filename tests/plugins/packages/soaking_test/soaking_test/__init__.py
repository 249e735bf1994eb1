"""How much water dry beans take up in a soak."""

from hilum.plugins import Plugin

PLUGIN = Plugin(
    slug="soaking-test",
    title="Soaking test",
    version="1.2.0",
    api=">=1.0,<2",
    hooks="soaking_test.hooks",
)
