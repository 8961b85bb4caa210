"""The demo as a whole. A package, so that the shop is built once for all of these tests."""
