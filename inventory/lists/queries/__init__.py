"""Questions about lists that came in, and the rows of lists that go out."""
