"""What leaves the program: report, keepers, sidecars, manifests."""
