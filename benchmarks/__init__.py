"""What a run, a plan and a start cost, with sizes and machine, and the laws beside their check values.

Times are not asserted by any test; what `checks` writes is.
"""
