"""An airfield's report read into an entry, and weather in words. It fetches nothing."""
