// The keys of a notebook, as package notebook has them; a test holds the two lists against each other. The braces hold JSON.

export const keys = {
  "notebook": ["notebook", "title", "by", "date", "instrument", "settings", "photos", "compare"],
  "photo": ["file", "name", "title", "instrument", "generator", "display", "by_hand", "sketch", "traces",
    "squares_per_box", "origin", "tolerance"],
  "readings": ["readings", "readings_file", "readings_begin"],
  "settings": ["time_per_box", "time_accuracy", "turn", "corners", "corner_uncertainty", "boxes", "monte_carlo", "paper",
    "column", "u_volts", "u_time", "zero_accuracy"],
  "trace": ["trace", "volts_per_box", "ground", "probe", "volts_accuracy", "signal", "from", "to", "settles_at", "at",
    "resistance", "capacitance", "input_resistance", "source_resistance",
    "known_frequency", "known_tau", "known_half_life", "known_level", "known_drive"],
  "generator": ["frequency", "drive", "source_resistance"],
  "comparison": ["quantity", "of"],
  "quantities": ["tau", "half_life", "v_start", "v_end", "period", "frequency", "v_pp", "v_rms", "v_mean", "v_sd",
    "v_high", "v_low", "v_offset", "v_amplitude", "duty_factor", "pulse_duration", "burst_duration",
    "transition_duration", "step_time", "bandwidth", "delay", "amplitude_ratio"]
};
