"""What is proven of a door's circuit: every state, every single fault, every act from the unsecured side.

Stands on circuits and wiring. Circuits of one build are proven once, whatever the number of doors that share them.
"""
