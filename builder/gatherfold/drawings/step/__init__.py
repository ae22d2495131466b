"""Pictures of steps: which moments each has, where new pieces go, where glue goes."""
