"""The window: real widgets over the session. The only place that knows Qt."""
