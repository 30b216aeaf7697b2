/* SPDX-License-Identifier: GPL-3.0-or-later
 *
 * A race on purpose: unless the thread sanitizer sees it nothing that it says means anything.
 */
#include <stdio.h>

int main(void)
{
    long sum = 0;
#pragma omp parallel for num_threads(4)
    for (long i = 0; i < 100000; i++)
        sum += i;
    printf("%ld\n", sum);
    return 0;
}
