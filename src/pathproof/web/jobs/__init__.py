"""Jobs as the app keeps them: every save a revision, the record only ever added to."""
