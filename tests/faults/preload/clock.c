/* Shifts the wall clock of one process by the seconds that a file says, and nothing else: a machine whose clock is set
 * while a program runs. Steady clocks stay as they are. Loaded with LD_PRELOAD; the file is named by
 * SWAPCALL_TEST_CLOCK and read again at every look. */
#define _GNU_SOURCE
#include <fcntl.h>
#include <stdlib.h>
#include <sys/syscall.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

static long shift_s(void) {
  const char *name = getenv("SWAPCALL_TEST_CLOCK");
  char text[32] = {0};
  if (name == NULL) return 0;
  int file = open(name, O_RDONLY | O_CLOEXEC);
  if (file < 0) return 0;
  ssize_t count = read(file, text, sizeof text - 1);
  close(file);
  return count > 0 ? strtol(text, NULL, 10) : 0;
}

int clock_gettime(clockid_t clock, struct timespec *at) {
  int failed = (int)syscall(SYS_clock_gettime, clock, at);
  if (failed == 0 && (clock == CLOCK_REALTIME || clock == CLOCK_REALTIME_COARSE)) at->tv_sec += shift_s();
  return failed;
}

int gettimeofday(struct timeval *restrict at, void *restrict zone) {
  struct timespec now;
  (void)zone;
  int failed = clock_gettime(CLOCK_REALTIME, &now);
  if (failed == 0) {
    at->tv_sec = now.tv_sec;
    at->tv_usec = now.tv_nsec / 1000;
  }
  return failed;
}

time_t time(time_t *into) {
  struct timespec now;
  if (clock_gettime(CLOCK_REALTIME, &now) != 0) return (time_t)-1;
  if (into != NULL) *into = now.tv_sec;
  return now.tv_sec;
}
