/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * scarce: a library to preload, in which memory runs out at the n-th allocation.
 *   SCARCE_AT=N        the n-th allocation fails, counted from 1; 0 or not set: none
 *   SCARCE_EVER=1      and all after it
 *   SCARCE_COUNT=FILE  the number of allocations is written there at the end
 *   SCARCE_PLACES=FILE and there, a line each, the first and the last allocation of every place: a
 * chain of callers SCARCE_SPLIT=FILE  in place of SCARCE_AT: the numbers of many, in order; see
 * scarce_split.c What the libraries for the syntax of scenarios and for threads ask for is not
 * counted: both end the process by themselves when memory runs out, before anything is written
 * (docs/decisions.md).
 */
#define _GNU_SOURCE
#include "scarce.h"

#include <dlfcn.h>
#include <errno.h>
#include <execinfo.h>
#include <fcntl.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#ifdef SCARCE_INSIDE
#define OURS(function) __wrap_##function
#define NEXT(function) __real_##function
#else
#define OURS(function) function
#define NEXT(function) __libc_##function
#endif
void *OURS(malloc)(size_t size);
void *OURS(calloc)(size_t count, size_t size);
void *OURS(realloc)(void *old, size_t size);
void *NEXT(malloc)(size_t size);
void *NEXT(calloc)(size_t count, size_t size);
void *NEXT(realloc)(void *old, size_t size);

void *gsl_odeiv2_control_scaled_new(double absolute, double relative, double y, double dydt,
                                    const double scale[], size_t n);
void config_init(void *config);
void config_destroy(void *config);

enum { DEEP = 24, PLACES = 1 << 16, CODE = 1 << 20 };

static atomic_long calls, at;
static atomic_bool ever, ready;
static atomic_int within, parsing; /* calls of a library that is not counted */
static char *threads, *syntax;     /* where these libraries begin */

static struct place {
    uint64_t hash; /* of the chain of callers */
    long first, last;
} place[PLACES];
static const char *places_file;

/* ---- who asks ---------------------------------------------------------------------------------
 */

/* Where the code of a library lies, if it is there. */
static char *find(const char *function)
{
    Dl_info info;
    void *begin = dlsym(RTLD_NEXT, function);
    return begin != NULL && dladdr(begin, &info) != 0 ? info.dli_fbase : NULL;
}

static bool is_of(const char *library, const void *caller)
{
    const char *code = caller;
    Dl_info info;
    if (library == NULL || code < library || code >= library + CODE) /* most are not near it */
        return false;
    return dladdr(caller, &info) != 0 && info.dli_fbase == library;
}

static bool is_syntax(void)
{
    void *chain[DEEP];
    const int n = backtrace(chain, DEEP);
    for (int i = 0; i < n; i++)
        if (is_of(syntax, chain[i]))
            return true;
    return false;
}

static void note(long n)
{
    void *chain[DEEP];
    const int deep = backtrace(chain, DEEP);
    uint64_t hash = 1;
    for (int i = 0; i < deep; i++)
        hash = (hash ^ (uintptr_t)chain[i]) * 0x9e3779b97f4a7c15u;
    hash |= 1; /* 0 is a free place */
    for (size_t i = hash >> 48, tried = 0; tried < PLACES; i = (i + 1) % PLACES, tried++) {
        struct place *p = &place[i];
        if (p->hash != 0 && p->hash != hash)
            continue;
        if (p->hash == 0)
            *p = (struct place){ .hash = hash, .first = n };
        p->last = n;
        return;
    }
}

/* ---- begin and end ----------------------------------------------------------------------------
 */

__attribute__((constructor)) static void begin(void)
{
    const char *wanted = getenv("SCARCE_AT"), *all = getenv("SCARCE_EVER");
    void *chain[1];
    (void)backtrace(chain, 1); /* loads a library the first time */
    threads = find("GOMP_parallel");
    syntax = find("config_init");
    at = wanted ? strtol(wanted, NULL, 10) : 0;
    ever = all && *all == '1';
    places_file = getenv("SCARCE_PLACES");
    split_begin(getenv("SCARCE_SPLIT"));
    ready = true;
}

__attribute__((destructor)) static void end(void)
{
    const char *name = getenv("SCARCE_COUNT");
    ready = false;
    if (split_is_child())
        return;
    FILE *f = name ? fopen(name, "we") : NULL;
    if (f) {
        fprintf(f, "%ld\n", (long)calls);
        fclose(f);
    }
    f = places_file ? fopen(places_file, "we") : NULL;
    for (int i = 0; f && i < PLACES; i++)
        if (place[i].hash != 0)
            fprintf(f, "%ld\n%ld\n", place[i].first, place[i].last);
    if (f)
        fclose(f);
}

static bool fails(const void *caller)
{
    if (!ready || within > 0 || is_of(threads, caller) || (parsing > 0 && is_syntax()))
        return false;
    const long n = ++calls;
    within++;
    if (places_file)
        note(n);
    if (split_at(n, &at))
        ever = split_is_ever();
    within--;
    const bool now = at > 0 && (n == at || (ever && n > at));
    if (now)
        errno = ENOMEM;
    return now;
}

void *OURS(malloc)(size_t size)
{
    return fails(__builtin_return_address(0)) ? NULL : NEXT(malloc)(size);
}

void *OURS(calloc)(size_t count, size_t size)
{
    return fails(__builtin_return_address(0)) ? NULL : NEXT(calloc)(count, size);
}

void *OURS(realloc)(void *old, size_t size)
{
    return fails(__builtin_return_address(0)) ? NULL : NEXT(realloc)(old, size);
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
    parsing++;
    pass("config_init", config);
}

void config_destroy(void *config)
{
    pass("config_destroy", config);
    parsing--;
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
