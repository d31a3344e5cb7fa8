"""The lightest additions that close the gaps of a plan."""
