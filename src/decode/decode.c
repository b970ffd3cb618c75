#include "decode/decode.h"

const struct fl_decoder fl_decoders[] = {
#define DECODER(name, carrier, first, last, source, says) \
	{ #name, FL_##carrier, first, last, fl_decode_##name, source, says },
#include "decode/decoders.def"
#undef DECODER
};
const size_t fl_decoder_count = sizeof fl_decoders / sizeof fl_decoders[0];

static bool within(const struct fl_decoder *d, uint16_t selector)
{
	return selector >= d->first && selector <= d->last;
}

static bool reads(const struct fl_decoder *d, const struct fl_packet *p)
{
	switch (d->carrier) {
	case FL_ETHERTYPE:
		return p->layer >= FL_LAYER_LINK && !p->llc &&
		       within(d, p->ethertype);
	case FL_LLC_SAP:
		return p->layer >= FL_LAYER_LINK && p->llc &&
		       within(d, p->sap[0]) && within(d, p->sap[1]);
	case FL_IP_PROTOCOL:
		return p->layer >= FL_LAYER_NETWORK && !p->later_fragment &&
		       within(d, p->protocol);
	case FL_UDP_PORT:
		return p->layer == FL_LAYER_TRANSPORT && p->protocol == 17 &&
		       (within(d, p->to_port) || within(d, p->from_port));
	}
	return false;
}

const struct fl_decoder *fl_decoder_for(const struct fl_packet *packet)
{
	for (size_t i = 0; i < fl_decoder_count; i++)
		if (reads(&fl_decoders[i], packet))
			return &fl_decoders[i];
	return NULL;
}

enum fl_status fl_decode(const struct fl_decoder *decoder,
			 const struct fl_packet *packet, struct fl_cursor *c,
			 struct fl_facts *out, enum fl_manner *manner)
{
	const size_t before = out->n;
	if (!before)             /* no fact is left that borrows from there */
		out->kept_n = out->port_n = 0;
	const size_t kept = out->kept_n, ports = out->port_n;
	*manner = FL_UNASKED;
	const enum fl_status status = decoder->decode(packet, c, out, manner);
	if (status != FL_OK) {
		out->n = before;
		out->kept_n = kept;
		out->port_n = ports;
	}
	return status;
}
