"""Plan, record, evaluate and report stability studies of cosmetic products.

This tool supports, and does not replace, assessment by a qualified safety assessor.
"""
