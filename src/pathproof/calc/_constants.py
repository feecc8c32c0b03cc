"""Physical constants in SI units."""

SPEED_OF_LIGHT_M_PER_S = 299_792_458.0  # exact, by the definition of the metre
VACUUM_PERMITTIVITY_F_PER_M = 8.854_187_8e-12  # CODATA, more digits than any material is known to
