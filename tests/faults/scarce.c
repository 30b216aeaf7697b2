/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scarce: a library to preload, in which memory runs out at the n-th allocation.
 *   SCARCE_AT=N       the n-th allocation fails, counted from 1; 0 or not set: none
 *   SCARCE_EVER=1     and all after it
 *   SCARCE_COUNT=FILE the number of allocations is written there at the end
 * What the libraries for the syntax of scenarios and for threads ask for is not counted: both end
 * the process by themselves when memory runs out, before anything is written (docs/decisions.md).
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *old, size_t size);

void *gsl_odeiv2_control_scaled_new(double absolute, double relative, double y, double dydt,
                                    const double scale[], size_t n);
void config_init(void *config);
void config_destroy(void *config);

static atomic_long calls, at;
static atomic_bool ever, ready;
static atomic_int within; /* calls of a library that is not counted */
static char *threads;     /* where the library for threads begins */

/* Where the code of the library for threads lies, if it is there. */
static void find_threads(void)
{
    Dl_info info;
    void *begin = dlsym(RTLD_DEFAULT, "GOMP_parallel");
    if (begin == NULL || dladdr(begin, &info) == 0)
        return;
    threads = info.dli_fbase;
}

static bool is_threads(const void *caller)
{
    const char *at = caller;
    Dl_info info;
    if (threads == NULL || at < threads || at >= threads + (1 << 20)) /* most are not near it */
        return false;
    return dladdr(caller, &info) != 0 && info.dli_fbase == threads;
}

__attribute__((constructor)) static void begin(void)
{
    const char *wanted = getenv("SCARCE_AT"), *all = getenv("SCARCE_EVER");
    find_threads();
    at = wanted ? strtol(wanted, NULL, 10) : 0;
    ever = all && *all == '1';
    ready = true;
}

__attribute__((destructor)) static void end(void)
{
    const char *name = getenv("SCARCE_COUNT");
    ready = false;
    const int fd = name ? open(name, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666) : -1;
    char text[24], *p = text + sizeof text;
    *--p = '\n';
    long n = calls;
    do
        *--p = (char)('0' + n % 10);
    while ((n /= 10) > 0);
    if (fd >= 0) {
        (void)!write(fd, p, (size_t)(text + sizeof text - p));
        close(fd);
    }
}

static bool fails(const void *caller)
{
    if (!ready || within > 0 || is_threads(caller))
        return false;
    const long n = ++calls;
    const bool now = at > 0 && (n == at || (ever && n > at));
    if (now)
        errno = ENOMEM;
    return now;
}

void *malloc(size_t size)
{
    return fails(__builtin_return_address(0)) ? NULL : __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    return fails(__builtin_return_address(0)) ? NULL : __libc_calloc(count, size);
}

void *realloc(void *old, size_t size)
{
    return fails(__builtin_return_address(0)) ? NULL : __libc_realloc(old, size);
}

/* ---- what is not counted ----------------------------------------------------------------------
 */

static void pass(const char *name, void *config)
{
    void (*next)(void *) = NULL;
    void *found = dlsym(RTLD_NEXT, name);
    memcpy(&next, &found, sizeof next);
    next(config);
}

void config_init(void *config)
{
    within++;
    pass("config_init", config);
}

void config_destroy(void *config)
{
    pass("config_destroy", config);
    within--;
}

void *gsl_odeiv2_control_scaled_new(double absolute, double relative, double y, double dydt,
                                    const double scale[], size_t n)
{
    void *(*next)(double, double, double, double, const double[], size_t) = NULL;
    void *found = dlsym(RTLD_NEXT, "gsl_odeiv2_control_scaled_new");
    memcpy(&next, &found, sizeof next);
    within++;
    void *control = next(absolute, relative, y, dydt, scale, n);
    within--;
    return control;
}
