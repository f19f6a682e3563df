/* How fast this machine does independent arithmetic on 8 doubles at a time, nothing else: what a
   step's arithmetic cannot go below. */
typedef double eight __attribute__((vector_size(64)));

double floor_run(long rounds) {
    eight x[12], a, b;
    for (int k = 0; k < 8; k++) { a[k] = 0.999 + k * 1e-6; b[k] = 1e-3 * k; }
    for (int k = 0; k < 12; k++) x[k] = a * (double)(k + 1);
    for (long r = 0; r < rounds; r++)
        for (int k = 0; k < 12; k++) {
            x[k] = x[k] * a + b;                /* one fused operation */
            x[k] = x[k] - a;                    /* one subtraction; a minimum costs the same */
        }
    eight sum = x[0];
    for (int k = 1; k < 12; k++) sum += x[k];
    double all = 0;
    for (int k = 0; k < 8; k++) all += sum[k];
    return all;
}
