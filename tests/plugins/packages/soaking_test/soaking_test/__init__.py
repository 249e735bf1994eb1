"""How much water dry beans take up in a soak: a method with a table, a page, a paper and routes of its own."""

from hilum.plugins import Plugin

PLUGIN = Plugin(
    slug="soaking-test",
    title="Soaking test",
    version="1.2.0",
    api=">=1.0,<2",
    hooks="soaking_test.hooks",
    app="soaking_test.apps.SoakingTestConfig",
    routes="soaking_test.routes",
    pages="soaking_test.pages",
)
