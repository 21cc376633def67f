// Where the core runs: "server" behind quadrille desk, "worker" in a folder of static files.
export const core = 'server';
