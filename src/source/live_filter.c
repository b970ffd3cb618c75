/* live_filter.c -- what is kept whole, and all else cut.
 *
 * Source  pcap-filter(7); a filter's return is how many octets are kept, 0
 *         none (Linux, Documentation/networking/filter.rst)
 *
 * Bulk streams are most of a boat's octets, and of them only headers are
 * read. So the program that says what is wanted whole is compiled, and where
 * it would refuse a frame it is made to keep the first octets instead. One
 * program does both, and the ring holds some ten times as many seconds.
 *
 * What has a VLAN tag comes to the filter without it: the kernel takes the
 * outer tag off before (libpcap puts it back in). Where a tag is left, of two
 * or in a capture file, its type is no IP, and the frame is kept whole.
 */
#include "source/live_filter.h"
#include "source/live.h"

/* Whole: what is no IP at all; of IP all but TCP and UDP (IGMP, ICMP, what
 * follows extension headers: a membership report behind a hop-by-hop header,
 * RFC 3810 section 5); fragments, whose ports only the first one has; and of
 * UDP what announces, assigns, names, tells the time or of faults:
 *     67 68 546 547   addresses           137 5353 5355  names
 *     161 162 6343    switches' counts    319 320 123    clocks
 *     514             system logs         1900 3702      services
 *     5005            streams' reports    5350 5351      mappings
 *     9875            announced sessions  10110          navigation sentences
 *     60001-60016     navigation sentences to groups (IEC 61162-450)
 * Media streams (5004) are bulk: of each packet the header tells its number. */
const char fl_live_whole[] =
	"(not ip and not ip6)"
	" or (ip and ip[9] != 6 and ip[9] != 17)"
	" or (ip and ip[6:2] & 0x3fff != 0)"
	" or (ip6 and ip6[6] != 6 and ip6[6] != 17)"
	" or (udp and (port 67 or port 68 or port 123 or port 137"
	" or port 161 or port 162 or port 319 or port 320 or port 514"
	" or port 546 or port 547 or port 1900 or port 3702"
	" or port 5005 or port 5350 or port 5351"
	" or port 5353 or port 5355 or port 6343 or port 9875"
	" or port 10110 or portrange 60001-60016))";

bool fl_live_filter(pcap_t *pcap, struct bpf_program *program)
{
	enum { OPTIMIZED = 1 };
	if (pcap_compile(pcap, program, fl_live_whole, OPTIMIZED,
			 PCAP_NETMASK_UNKNOWN) != 0)
		return false;
	for (u_int i = 0; i < program->bf_len; i++) {
		struct bpf_insn *step = &program->bf_insns[i];
		if (step->code == (BPF_RET | BPF_K) && step->k == 0)
			step->k = FL_LIVE_CUT;
	}
	return true;
}
