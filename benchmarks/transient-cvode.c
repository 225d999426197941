/* Times SUNDIALS CVODE (BDF, dense, analytic Jacobian) on the 20 ms of two stages; prints per tolerance the processor seconds
   (best of several) and the 201 samples of `out`. Build: cc -O2 transient-cvode.c -lsundials_cvode -lsundials_nvecserial -lsundials_sunmatrixdense
   -lsundials_sunlinsoldense -lm (Debian libsundials-dev 6.4). */
#include <cvode/cvode.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <stdio.h>
#include <stdlib.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>
#include <time.h>

enum { G1, P1, K1, G2, P2, K2, OUT, B, N, GROUND = -1 };
static double G[N][N], C[N][N], inverse[N][N], steady[N], IG[N][N];

static void two(double m[N][N], int a, int b, double v) {
  if (a >= 0) m[a][a] += v;
  if (b >= 0) m[b][b] += v;
  if (a >= 0 && b >= 0) m[a][b] -= v, m[b][a] -= v;
}

static void build(void) {
  two(G, G1, GROUND, 1 / 68e3), two(G, G1, GROUND, 1e-6), two(G, P1, B, 1e-5), two(G, P2, B, 1e-5);
  two(G, K1, GROUND, 1 / 1500.), two(G, K2, GROUND, 1 / 1500.), two(G, G2, GROUND, 1 / 470e3), two(G, OUT, GROUND, 1e-5), two(G, B, GROUND, 1e-4);
  two(C, K1, GROUND, 22e-6), two(C, K2, GROUND, 22e-6), two(C, P1, G2, 22e-9), two(C, P2, OUT, 1e-6), two(C, OUT, GROUND, 100e-12), two(C, B, GROUND, 22e-6);
  two(C, G1, P1, 1.7e-12), two(C, G1, K1, 1.6e-12), two(C, P1, K1, .5e-12), two(C, G2, P2, 1.7e-12), two(C, G2, K2, 1.6e-12), two(C, P2, K2, .5e-12);
  steady[B] = 300 / 10e3;
  double a[N][2 * N];
  for (int i = 0; i < N; i++)
    for (int j = 0; j < N; j++) a[i][j] = C[i][j], a[i][N + j] = i == j;
  for (int k = 0; k < N; k++) {
    int p = k;
    for (int i = k + 1; i < N; i++)
      if (fabs(a[i][k]) > fabs(a[p][k])) p = i;
    for (int j = 0; j < 2 * N; j++) {
      double t = a[k][j];
      a[k][j] = a[p][j], a[p][j] = t;
    }
    for (int i = 0; i < N; i++)
      if (i != k) {
        double f = a[i][k] / a[k][k];
        for (int j = 0; j < 2 * N; j++) a[i][j] -= f * a[k][j];
      }
  }
  for (int i = 0; i < N; i++)
    for (int j = 0; j < N; j++) inverse[i][j] = a[i][N + j] / a[i][i];
  for (int i = 0; i < N; i++)
    for (int j = 0; j < N; j++)
      for (int k = 0; k < N; k++) IG[i][j] -= inverse[i][k] * G[k][j];
}

/* Koren 12AX7: current and slopes. */
static void tube(double vg, double va, double out[3]) {
  const double mu = 100, ex = 1.4, kg1 = 1060, kp = 600, kvb = 300;
  double root2 = kvb + va * va, root = sqrt(root2), z = kp * (1 / mu + vg / root), t = exp(z > 0 ? -z : z);
  double sp = (z > 0 ? z : 0) + log(1 + t), sg = z > 0 ? 1 / (1 + t) : t / (1 + t), e = va / kp * sp;
  if (va <= 0 || e <= 1e-200) {
    out[0] = out[1] = out[2] = 0;
    return;
  }
  double ik = 2 * exp(ex * log(e)) / kg1, slope = ex * ik / e;
  out[0] = ik, out[1] = slope * va * sg / root, out[2] = slope * (sp / kp - va * va * sg * vg / (root2 * root));
}

static int rate(realtype t, N_Vector y, N_Vector ydot, void *unused) {
  const double *v = NV_DATA_S(y);
  double *f = NV_DATA_S(ydot), j[N], i[3];
  (void)unused;
  for (int k = 0; k < N; k++) j[k] = steady[k];
  j[G1] += 0.02 * sin(2000 * M_PI * t) / 68e3;
  tube(v[G1] - v[K1], v[P1] - v[K1], i), j[P1] -= i[0], j[K1] += i[0];
  tube(v[G2] - v[K2], v[P2] - v[K2], i), j[P2] -= i[0], j[K2] += i[0];
  for (int r = 0; r < N; r++) {
    double s = 0;
    for (int k = 0; k < N; k++) s += IG[r][k] * v[k] + inverse[r][k] * j[k];
    f[r] = s;
  }
  return 0;
}

static int slopes(realtype t, N_Vector y, N_Vector fy, SUNMatrix J, void *u, N_Vector a, N_Vector b, N_Vector c) {
  const double *v = NV_DATA_S(y);
  const int at[2][3] = {{P1, G1, K1}, {P2, G2, K2}};
  (void)t, (void)fy, (void)u, (void)a, (void)b, (void)c;
  for (int r = 0; r < N; r++)
    for (int k = 0; k < N; k++) SM_ELEMENT_D(J, r, k) = IG[r][k];
  for (int s = 0; s < 2; s++) {
    int p = at[s][0], g = at[s][1], k = at[s][2];
    double i[3];
    tube(v[g] - v[k], v[p] - v[k], i);
    for (int r = 0; r < N; r++) {
      double d = inverse[r][k] - inverse[r][p];
      SM_ELEMENT_D(J, r, g) += d * i[1], SM_ELEMENT_D(J, r, p) += d * i[2], SM_ELEMENT_D(J, r, k) -= d * (i[1] + i[2]);
    }
  }
  return 0;
}

int main(void) {
  build();
  SUNContext context;
  SUNContext_Create(NULL, &context);
  N_Vector y = N_VNew_Serial(N, context), f = N_VNew_Serial(N, context);
  SUNMatrix J = SUNDenseMatrix(N, N, context);
  /* The operating point, by Newton on the slopes. */
  double start[N] = {0, 191, 1.36, 0, 191, 1.36, 0, 282};
  for (int k = 0; k < N; k++) NV_Ith_S(y, k) = start[k];
  SUNLinearSolver newton = SUNLinSol_Dense(y, J, context);
  for (int n = 0; n < 20; n++) {
    rate(0, y, f, NULL), slopes(0, y, f, J, NULL, f, f, f);
    SUNLinSolSetup(newton, J), SUNLinSolSolve(newton, J, f, f, 0);
    N_VLinearSum(1, y, -1, f, y);
  }
  for (int k = 0; k < N; k++) start[k] = NV_Ith_S(y, k);
  double out[201];
  printf("[");
  for (int e = 2; e <= 9; e++) {
    double tolerance = pow(10, -e), best = 1e9;
    for (int repeat = 0; repeat < 15; repeat++) {
      struct timespec from, to;
      clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &from);
      for (int k = 0; k < N; k++) NV_Ith_S(y, k) = start[k];
      void *cvode = CVodeCreate(CV_BDF, context);
      SUNLinearSolver linear = SUNLinSol_Dense(y, J, context);
      CVodeInit(cvode, rate, 0, y), CVodeSStolerances(cvode, 0.1 * tolerance, tolerance);
      CVodeSetLinearSolver(cvode, linear, J), CVodeSetJacFn(cvode, slopes), CVodeSetMaxNumSteps(cvode, 1000000);
      double t = 0;
      out[0] = NV_Ith_S(y, OUT);
      for (int k = 1; k <= 200; k++) {
        if (CVode(cvode, 0.02 * k / 200, y, &t, CV_NORMAL) < 0) return 1;
        out[k] = NV_Ith_S(y, OUT);
      }
      CVodeFree(&cvode), SUNLinSolFree(linear);
      clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &to);
      double spent = (to.tv_sec - from.tv_sec) + 1e-9 * (to.tv_nsec - from.tv_nsec);
      if (spent < best) best = spent;
    }
    printf("%s{\"seconds\":%.9g,\"out\":[", e > 2 ? ",\n" : "", best);
    for (int k = 0; k <= 200; k++) printf("%s%.17g", k ? "," : "", out[k]);
    printf("]}");
  }
  printf("]\n");
  return 0;
}
