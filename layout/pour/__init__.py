"""The pour: how much, mixed how, in what time; silicone and resin."""
