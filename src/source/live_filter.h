/* live_filter.h -- the kernel's filter of a live port: what is kept whole, and
 * all else cut. */
#ifndef FL_SOURCE_LIVE_FILTER_H
#define FL_SOURCE_LIVE_FILTER_H

#include <pcap/pcap.h>
#include <stdbool.h>

/* Compile fl_live_whole for a handle of Ethernet. The caller frees it by
 * pcap_freecode(). False: pcap_geterr() says why. */
bool fl_live_filter(pcap_t *pcap, struct bpf_program *program);

#endif
