"""The HTTP service around cutopt. It knows cutopt; cutopt does not know it."""
