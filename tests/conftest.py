"""Makes `tool_kit` importable from every folder of tests."""
