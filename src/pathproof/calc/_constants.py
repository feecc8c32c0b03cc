"""Physical constants in SI units."""

SPEED_OF_LIGHT_M_PER_S = 299_792_458.0  # exact, by the definition of the metre
VACUUM_PERMITTIVITY_F_PER_M = 8.854_187_8188e-12  # CODATA 2022
